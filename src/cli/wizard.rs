//! No command at all: the screens, or the line dialogue.

use super::walk::{by_a_person, header, kept, library, load_tree, rig_and_text};
use super::{Done, Failure, read_text};
use crate::case::{CaseFolder, CaseState, CaseSummary};
use crate::plain::{self, Beginning, Offer};
use crate::quantity::UnitSystem;
use crate::rig::{Rig, name_in};
use crate::session::Session;
use crate::tui::{self, Begin, End, OpenError, Options};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Arguments of the screens.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Args {
    /// Folder the cases are kept in.
    #[arg(long, value_name = "DIR")]
    cases: Option<PathBuf>,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    trees: Option<PathBuf>,
    /// Begin with the car of this rig file: it is not asked for.
    #[arg(long, value_name = "FILE")]
    rig: Option<PathBuf>,
    /// The terminal has a light ground.
    #[arg(long)]
    light: bool,
    /// Ask one question a line, without moving the cursor; FAULTWALK_PLAIN and the settings do the same.
    #[arg(long)]
    plain: bool,
}

impl Args {
    /// Whether it names a file or a folder, which no command but the screens takes from here.
    pub fn names_a_place(&self) -> bool {
        self.cases.is_some() || self.trees.is_some() || self.rig.is_some()
    }
}

/// How the screens look, for every command that opens them.
#[derive(Debug, Clone, Copy, Default, clap::Args)]
pub struct Looks {
    /// No colour; NO_COLOR does the same.
    #[arg(long, global = true)]
    pub no_color: bool,
    /// Plain ASCII characters only.
    #[arg(long, global = true)]
    pub ascii: bool,
}

/// Whether the screens can be opened here.
pub fn has_terminal() -> bool {
    std::io::stdin().is_terminal() && std::io::stdout().is_terminal()
}

/// Whether the surroundings ask for the line dialogue.
pub fn wants_plain() -> bool {
    std::env::var_os("FAULTWALK_PLAIN").is_some_and(|v| !v.is_empty())
}

/// Opens the screens on the start, or begins the line dialogue.
pub fn run(args: Args, looks: Looks) -> Result<Done, Failure> {
    let places = tui::places(args.cases.clone(), args.trees.clone());
    let settings = places.settings.as_deref().map(tui::recall_settings).unwrap_or_default();
    if args.plain || wants_plain() || settings.plain {
        return line_by_line(&places, settings.units, args.rig.as_deref());
    }
    // What is wrong with the file is said before the terminal changes.
    let begin = match &args.rig {
        Some(file) => Begin::Car(rig_and_text(Some(file))?.1),
        None => Begin::Start,
    };
    if !has_terminal() {
        return Err(Failure::Input(
            "expected a terminal for the screens, found a pipe or a file; 'faultwalk --plain' asks line by line, \
             'faultwalk --help' lists every command"
                .into(),
        ));
    }
    let options =
        Options { cases: args.cases, trees: args.trees, light: args.light, begin, ..Options::default() };
    open(options, looks)
}

/// The line dialogue from its beginning: complaint, walk and car, or a case to go on with.
fn line_by_line(
    places: &tui::Places,
    units: Option<UnitSystem>,
    rig: Option<&Path>,
) -> Result<Done, Failure> {
    let given = rig.map(|file| rig_and_text(Some(file))).transpose()?.map(|(rig, text)| (rig.name, text));
    let library = library(places.trees.as_deref())?;
    let folder = CaseFolder::open(places.cases.as_deref()).map_err(|e| Failure::File(e.into()))?;
    let listed = folder.list().map_err(|e| Failure::File(e.into()))?;
    let cars = tui::saved_cars(places.cars.as_deref()).into_iter();
    let cars = cars.filter_map(|c| Some((c.name, read_text(&PathBuf::from(&c.id)).ok()?))).collect();
    let of = |rig: &Rig| units.or_else(|| rig.units()).unwrap_or_default();
    let offer = Offer { library: &library, cases: listed.iter().filter_map(in_words).collect(), cars, given };
    let chosen = {
        let mut input = std::io::stdin().lock();
        plain::choose(&offer, &mut input, &mut super::output::lines())
    };
    let session = match chosen.map_err(super::walk::plain_failure)? {
        Beginning::Left => return Ok(Done::Fine),
        Beginning::Kept(id) => {
            let (rig, tree, case) = kept(&folder, &library, &id)?;
            let units = of(&rig);
            Session::resume(rig, tree, case, units)
        }
        Beginning::New { walk, rig: text, complaint } => {
            let tree = load_tree(&library, &walk)?;
            let rig = Rig::parse("the car", &text).map_err(Failure::input)?;
            let header = header(&tree, &text, Some(complaint));
            let case = folder.create(header).map_err(|e| Failure::File(e.into()))?;
            let units = of(&rig);
            Session::begin(Arc::new(rig), Arc::new(tree), Some(case), units)
        }
    };
    by_a_person(session.map_err(Failure::input)?)
}

/// An open case as the dialogue lists it.
fn in_words(case: &CaseSummary) -> Option<(String, String)> {
    let complaint = case.complaint.as_deref().unwrap_or(&case.tree);
    let mark = if case.simulated { "SIMULATED " } else { "" };
    let words = format!("{mark}{}, {complaint}, case {}", name_in(&case.rig), case.id);
    (case.state == CaseState::Open).then(|| (case.id.clone(), words))
}

/// Opens the screens where `options` say.
pub fn open(options: Options, looks: Looks) -> Result<Done, Failure> {
    let options = Options { no_color: looks.no_color, ascii: looks.ascii, ..options };
    match tui::open(options) {
        Ok(End::Left) => Ok(Done::Fine),
        Ok(End::Stopped(stop)) => Ok(Done::Stopped(stop.exit_code())),
        Err(OpenError::Input(text)) => Err(Failure::Input(text)),
        Err(error @ OpenError::Terminal(_)) => Err(Failure::File(error.into())),
    }
}

/// Opens the screens in a case, or in a new case of a tree.
pub fn walk(
    begin: Begin,
    cases: Option<PathBuf>,
    trees: Option<PathBuf>,
    looks: Looks,
) -> Result<Done, Failure> {
    open(Options { cases, trees, begin, ..Options::default() }, looks)
}
