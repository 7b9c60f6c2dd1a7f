//! From an exercise in practice to what its screens show. Nothing of it goes into a journal.

use super::super::desk::Para;
use super::super::lesson::{LessonSheet, MoveLine, PracticeAct};
use super::beside::Beside;
use super::cars::CarDraft;
use crate::library::Library;
use crate::practice::{Answer, Debrief, Exercise, Lesson, Level, Named, Stop};
use crate::quantity::{UnitSystem, figures};
use crate::terms::{Part, State};
use crate::tree::render_all;
use jiff::Timestamp;
use std::sync::Arc;

/// Exercises are told apart by a number below this one.
const EXERCISES: u64 = 100_000;

/// The exercise in progress, and its debrief once it comes.
#[derive(Debug)]
pub struct Practice {
    lesson: Lesson,
    about: String,
    debrief: Option<Vec<Para>>,
    coming: Beside<Debrief>,
}

impl Practice {
    /// Draws a fault and begins.
    pub fn begin(
        library: &Library,
        (complaint, car, level): (&str, &str, u8),
        units: Option<UnitSystem>,
    ) -> Result<Self, String> {
        let tree = Arc::new(library.tree(complaint).map_err(|d| render_all(&d))?);
        let draft = CarDraft::take(Some(car).filter(|c| !c.is_empty()))?;
        let rig = Arc::new(draft.rig()?);
        let stage = Level::of(level).ok_or_else(|| format!("expected a level from 1 to 3, found {level}"))?;
        // Any number will do; a clock's nanoseconds differ each time.
        let seed = u64::from(Timestamp::now().subsec_nanosecond().unsigned_abs()) % EXERCISES;
        let exercise = Exercise::draw(&tree, &rig, stage, None, seed).map_err(|e| e.to_string())?;
        let about = format!("{}, {}, level {level}, exercise {seed}", rig.name, tree.title.to_lowercase());
        let units = units.or_else(|| rig.units()).unwrap_or_default();
        let lesson = Lesson::begin(rig, tree, exercise, units).map_err(|e| e.to_string())?;
        Ok(Self { lesson, about, debrief: None, coming: Beside::nothing() })
    }

    /// Does what a trainee does; gives what comes of it, and whether it was a stop.
    pub fn act(&mut self, act: &PracticeAct) -> Result<String, String> {
        match act {
            PracticeAct::Move(index) => self.pick(*index),
            PracticeAct::Name(index) => {
                let part = *self.lesson.parts().get(*index).ok_or("There is no such part in the list.")?;
                match self.lesson.name(part) {
                    Named::Right => {
                        self.end();
                        Ok(format!("Right: {}.", words(part)))
                    }
                    Named::Wrong(minutes) => Err(format!(
                        "The {} was changed, and the car is as it was. {} minutes are gone.",
                        words(part),
                        figures(minutes, 3)
                    )),
                }
            }
            PracticeAct::GiveUp => {
                self.lesson.give_up();
                self.end();
                Ok("Given up.".to_owned())
            }
            PracticeAct::Begin { .. } | PracticeAct::Leave => Ok(String::new()),
        }
    }

    fn pick(&mut self, index: usize) -> Result<String, String> {
        match self.lesson.pick(index) {
            Some(Answer::Done(done)) => {
                let expected = done.expected.map_or_else(String::new, |e| format!("; a sound car: {e}"));
                let name = &self.lesson.moves()[index].name;
                Ok(format!("{name}: {}{expected}. {} min.", done.result, figures(done.minutes, 3)))
            }
            Some(Answer::Stopped(Stop::Unsafe { why, first })) => Err(format!(
                "STOPPED, unsafe: {why} First: {first}. Ten minutes are lost putting things right."
            )),
            Some(Answer::Stopped(Stop::NotYet { first })) => Err(format!("Not yet. First: {first}.")),
            None => Err("The exercise is over.".to_owned()),
        }
    }

    /// Begins to reckon the debrief beside everything else.
    fn end(&mut self) {
        let lesson = self.lesson.clone();
        self.coming = Beside::begin("debrief", move || lesson.debrief());
    }

    /// Whether the debrief is still to come.
    pub fn busy(&self) -> bool {
        self.coming.busy()
    }

    /// Takes the debrief if it has come.
    pub fn poll(&mut self) -> bool {
        let come = self.coming.take();
        self.debrief = come.as_ref().map(told).or(self.debrief.take());
        come.is_some()
    }

    /// The exercise as its screen shows it.
    pub fn sheet(&self) -> LessonSheet {
        let lesson = &self.lesson;
        let log = lesson.log();
        let moves = lesson.moves().iter().enumerate().map(|(index, m)| MoveLine {
            name: m.name.clone(),
            group: m.group.name().to_owned(),
            minutes: format!("{} min", figures(m.minutes, 3)),
            gave: log.iter().rev().find(|d| d.index == index).map(|d| d.result.clone()),
        });
        let held: Vec<&str> = lesson.standing().held.iter().map(State::name).collect();
        let record = log.iter().enumerate().rev().map(|(i, done)| {
            let expected = done.expected.as_ref().map_or_else(String::new, |e| format!("; a sound car: {e}"));
            format!("{} {}: {}{expected}", i + 1, lesson.moves()[done.index].name, done.result)
        });
        LessonSheet {
            about: self.about.clone(),
            tools: lesson.exercise().tools.as_ref().map_or_else(
                || "every tool".to_owned(),
                |t| t.iter().map(|t| t.name()).collect::<Vec<_>>().join(", "),
            ),
            minutes: format!("{} min", figures(lesson.minutes(), 4)),
            standing: if held.is_empty() {
                "as it was driven in, nothing fitted, open or proved".to_owned()
            } else {
                held.join("; ")
            },
            moves: moves.collect(),
            record: record.collect(),
            parts: lesson.parts().iter().map(|p| words(*p)).collect(),
            over: lesson.over(),
            debrief: self.debrief.clone(),
        }
    }
}

fn words(part: Part) -> String {
    part.id().replace('-', " ")
}

fn all(parts: &[Part]) -> String {
    parts.iter().map(|p| words(*p)).collect::<Vec<_>>().join(", ")
}

fn told(debrief: &Debrief) -> Vec<Para> {
    let minutes = |m: f64| format!("{} min", figures(m, 4));
    let cheapest = &debrief.cheapest;
    let mut paras = vec![
        Para::Text("SIMULATED CAR: nothing here was measured on a real one.".into()),
        Para::Pair("in the car".into(), debrief.fault.name().to_owned()),
        Para::Pair("mended at".into(), words(debrief.part)),
        Para::Pair("your score".into(), minutes(debrief.minutes)),
        Para::Pair("cheapest order".into(), minutes(cheapest.minutes)),
    ];
    if debrief.stops.0 > 0 {
        let text = format!("{}, {}", debrief.stops.0, minutes(debrief.stops.1));
        paras.push(Para::Pair("unsafe orders".into(), text));
    }
    for (part, lost) in &debrief.wrong {
        paras.push(Para::Pair("changed in vain".into(), format!("{}, {}", words(*part), minutes(*lost))));
    }
    paras.push(Para::Head("Your moves, and what each told".into()));
    if debrief.told.is_empty() {
        paras.push(Para::Text("None.".into()));
    }
    for (i, told) in debrief.told.iter().enumerate() {
        let mut text = format!("{} {}: {}, {}", i + 1, told.name, told.result, minutes(told.minutes));
        if !told.set_aside.is_empty() {
            text = format!("{text}; set aside {}", all(&told.set_aside));
        }
        if !told.raised.is_empty() {
            text = format!("{text}; raised {}", all(&told.raised));
        }
        paras.push(Para::Item(text));
    }
    paras.push(Para::Head("The order that tells most for its time".into()));
    for (i, (name, took)) in cheapest.steps.iter().enumerate() {
        paras.push(Para::Item(format!("{} {name}, {}", i + 1, minutes(*took))));
    }
    if !cheapest.certain {
        paras.push(Para::Text(
            "It ends without certainty: the tests at hand do not part this fault from its like.".into(),
        ));
    }
    paras
}
