//! `practice [TREE]`: find a fault on a simulated car.

use super::car::tool_of;
use super::walk::{library, load_tree, rig_and_text};
use super::{Done, Failure};
use crate::plain::{PlainError, practise};
use crate::practice::{Exercise, Lesson, Level};
use crate::quantity::UnitSystem;
use crate::terms::{FIRST_WORD, Tool};
use std::path::PathBuf;
use std::sync::Arc;

/// Arguments of `practice`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    faultwalk practice                                a lean car, common faults, every tool\n  \
    faultwalk practice no-pressure --level 2          another complaint, faults less plain\n  \
    faultwalk practice runs-lean --tools multimeter   with one tool\n  \
    faultwalk practice runs-lean --seed 17            the same exercise again\n  \
    faultwalk practice --plain                        line by line, as it is without the word")]
pub struct Args {
    /// The tree whose complaint the car has.
    #[arg(default_value = "runs-lean")]
    tree: String,
    /// The rig file; without one every default is taken.
    #[arg(long)]
    rig: Option<PathBuf>,
    /// 1: common faults, plain; 2: less common, less plain; 3: any fault, no expected ranges, few tools.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=3))]
    level: u8,
    /// Tools at hand, by id, instead of those of the level; an id that is none lists them all.
    #[arg(long, value_delimiter = ',', value_parser = tool_of)]
    tools: Option<Vec<Tool>>,
    /// Which exercise; without it another one each time.
    #[arg(long)]
    seed: Option<u64>,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    trees: Option<PathBuf>,
    /// Values in pounds, gallons and inches; without it in the units the car's own gauge is written in.
    #[arg(long)]
    us: bool,
    /// Line by line, as practice from the command line always is.
    #[arg(long)]
    plain: bool,
}

/// Practises, line by line.
pub fn run(args: &Args) -> Result<Done, Failure> {
    let library = library(args.trees.as_deref())?;
    let tree = Arc::new(load_tree(&library, &args.tree)?);
    let (rig, _) = rig_and_text(args.rig.as_deref())?;
    let rig = Arc::new(rig);
    let level = Level::of(args.level).unwrap_or(Level::One);
    // Any number will do; a clock's nanoseconds differ each time.
    let seed = args
        .seed
        .unwrap_or_else(|| u64::from(jiff::Timestamp::now().subsec_nanosecond().unsigned_abs()) % 100_000);
    let exercise = Exercise::draw(&tree, &rig, level, args.tools.clone(), seed).map_err(Failure::input)?;
    let units = if args.us { UnitSystem::Us } else { rig.units().unwrap_or_default() };
    let mut lesson = Lesson::begin(rig.clone(), tree.clone(), exercise, units).map_err(Failure::input)?;
    let tools = lesson.exercise().tools.as_ref().map_or_else(
        || "every tool".to_owned(),
        |t| t.iter().map(|t| t.name()).collect::<Vec<_>>().join(", "),
    );
    let begin = [
        format!(
            "PRACTICE on a simulated car, exercise {seed}, level {}. Nothing here is kept as a case.",
            args.level
        ),
        format!("The car: {}. The complaint: {}. At hand: {tools}.", rig.name, tree.title.to_lowercase()),
        FIRST_WORD.to_owned(),
        "One part is at fault. Find it in the fewest minutes and in a safe order. 'list' shows every move."
            .to_owned(),
    ];
    let debrief = {
        let mut input = std::io::stdin().lock();
        let mut output = super::output::lines();
        practise(&mut lesson, &begin, &mut input, &mut output)
    };
    match debrief {
        Ok(_) => {}
        Err(PlainError::Io(e)) if e.kind() == std::io::ErrorKind::BrokenPipe => {
            return Err(Failure::BrokenPipe);
        }
        Err(error) => return Err(Failure::File(error.into())),
    }
    Ok(Done::Fine)
}
