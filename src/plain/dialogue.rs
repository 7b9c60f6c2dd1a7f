//! Question, line, answer, until the case ends or the input does.

use super::standing::{again_line, standing};
use super::{PlainError, show, words};
use crate::rig::Field;
use crate::session::{Ask, Crowd, Session, SessionError, StepView, instrument_fields};
use crate::terms::{Place, WORDS};
use crate::tree::StepKind;
use crate::walk::{Event, Reason};
use std::io::{BufRead, Write};
use std::path::Path;

/// How the dialogue ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// The case is closed.
    Closed,
    /// The person left, or the input ended; the case is kept as it stands.
    Left,
}

/// Talks until the case is closed or the input ends.
///
/// # Errors
/// [`PlainError::Io`]; what a person types wrong is answered in the dialogue.
pub fn run(session: &mut Session, input: &mut dyn BufRead, out: &mut dyn Write) -> Result<Ended, PlainError> {
    say(out, &show::first(session))?;
    let mut place: Option<Place> = None;
    // Drawn once, at the first end or when asked for: it takes a moment.
    let mut crowd: Option<Crowd> = None;
    loop {
        let lines = match session.ask() {
            Ask::Closed => {
                say(out, &show::other(session, &Ask::Closed, None))?;
                return Ok(Ended::Closed);
            }
            Ask::Step(view) | Ask::Confirm(_, view) | Ask::Undo(_, view) => show::step(session, &view),
            ask @ (Ask::Finding(_) | Ask::Handover(_)) => {
                let crowd = crowd.get_or_insert_with(|| Crowd::draw(session.rig()));
                show::other(session, &ask, Some(&session.outlook(crowd, false)))
            }
            ask => show::other(session, &ask, None),
        };
        say(out, &lines)?;
        if !talk(session, input, out, &mut place, &mut crowd)? {
            return Ok(Ended::Left);
        }
    }
}

/// Writes lines, hidden characters made visible.
pub(super) fn say(out: &mut dyn Write, lines: &[String]) -> Result<(), PlainError> {
    for line in lines {
        writeln!(out, "{}", crate::text::visible(line))?;
    }
    out.flush()?;
    Ok(())
}

/// One line typed; nothing at the end of the input.
pub(super) fn line(
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    prompt: &str,
) -> Result<Option<String>, PlainError> {
    write!(out, "{prompt} ")?;
    out.flush()?;
    let mut text = String::new();
    if input.read_line(&mut text)? == 0 {
        writeln!(out)?;
        return Ok(None);
    }
    Ok(Some(crate::text::visible(text.trim()).into_owned()))
}

/// Takes lines until something moves; false when the person leaves.
fn talk(
    session: &mut Session,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    place: &mut Option<Place>,
    crowd: &mut Option<Crowd>,
) -> Result<bool, PlainError> {
    loop {
        let prompt = prompt(session);
        let Some(text) = line(input, out, &prompt)? else { return Ok(false) };
        let (word, rest) = text.split_once(' ').map_or((text.as_str(), ""), |(w, r)| (w, r.trim()));
        let result = match word {
            "" => continue,
            "quit" | "q" => return Ok(false),
            "help" | "?" => {
                say(out, &words::help(session))?;
                continue;
            }
            "words" => {
                let lines: Vec<String> =
                    WORDS.iter().map(|(word, means)| format!("{word}: {means}")).collect();
                say(out, &lines)?;
                continue;
            }
            "standing" => {
                say(out, &standing(session, crowd))?;
                continue;
            }
            "report" => {
                say(out, &show::report(session))?;
                continue;
            }
            "why" => {
                let lines = match session.ask() {
                    Ask::Step(view) | Ask::Confirm(_, view) | Ask::Undo(_, view) => show::why(session, &view),
                    _ => vec!["There is no step open now.".to_owned()],
                };
                say(out, &lines)?;
                continue;
            }
            "record" => {
                let tree = session.tree().clone();
                let lines: Vec<String> = session
                    .state()
                    .record()
                    .map(|(i, g)| {
                        format!(
                            "{}: {} ({})",
                            tree.steps[i].name(),
                            show::given_at(session, i, g),
                            tree.steps[i].id
                        )
                    })
                    .collect();
                say(out, &lines)?;
                continue;
            }
            "place" => {
                match rest.parse::<Place>() {
                    Ok(at) => *place = Some(at),
                    Err(error) => say(out, &[error.to_string()])?,
                }
                continue;
            }
            "instrument" => match another(session, rest) {
                Ok(lines) => {
                    say(out, &lines)?;
                    continue;
                }
                Err(error) => Err(error),
            },
            "elsewhere" => match elsewhere(session, rest) {
                Ok(said) => {
                    say(out, &[said])?;
                    continue;
                }
                Err(error) => Err(error),
            },
            "back" => session.send(Event::Back),
            "note" => session.send(Event::NoteAdded {
                step: session.state().open_step().map(|i| session.tree().steps[i].id.clone()),
                text: rest.to_owned(),
                private: false,
            }),
            "leak" => session.send(Event::LeakReported { note: (!rest.is_empty()).then(|| rest.to_owned()) }),
            "mended" => session.mended((!rest.is_empty()).then(|| rest.to_owned())),
            "pause" => session.send(Event::Paused),
            "resume" => session.send(Event::Resumed),
            "repaired" => repaired(session, rest),
            "leave" => leave(session),
            "again" => session.send(Event::StartedAgain),
            "close" => session.send(Event::Closed),
            "change" => {
                let (step, answer) = rest.split_once(' ').unwrap_or((rest, ""));
                session.change(step, answer.trim(), *place)
            }
            "conclude" => conclude(session, crowd),
            "take" => session.send(Event::TakenUp { step: rest.to_owned() }),
            "put-back" => session.put_back_first(),
            "cannot" => cannot(session, rest),
            "understood" => session.confirm_cautions(),
            _ => give(session, out, &text, *place)?,
        };
        match result {
            Ok(()) => return Ok(true),
            Err(error) => {
                say(out, &[format!("Error: {error}")])?;
                if session.is_stranded() {
                    say(
                        out,
                        &["Type: elsewhere FOLDER, to go on in another folder; then the same again."
                            .to_owned()],
                    )?;
                }
            }
        }
    }
}

/// The case goes on in another folder.
fn elsewhere(session: &mut Session, folder: &str) -> Result<String, SessionError> {
    if folder.is_empty() {
        return Err(SessionError::NoAnswer("expected a folder after 'elsewhere'; found nothing.".into()));
    }
    let there = session.go_on_in(Path::new(folder))?;
    let there = there.path().display();
    Ok(format!("The case goes on in {there}. Another time: faultwalk --plain --cases {there}"))
}

/// Names the finding that all that was seen speaks for.
fn conclude(session: &mut Session, crowd: &mut Option<Crowd>) -> Result<(), SessionError> {
    let crowd = crowd.get_or_insert_with(|| Crowd::draw(session.rig()));
    let outlook = session.outlook(crowd, false);
    match (outlook.conclusion, outlook.unnamed) {
        (Some(conclusion), _) => session.conclude(&conclusion),
        (None, unnamed) => {
            let why = unnamed.map_or_else(String::new, |u| u.words(&again_line(outlook.again.as_ref())));
            Err(SessionError::NoAnswer(format!("{why} Go on as the tree has it.").trim_start().to_owned()))
        }
    }
}

/// What the open step is read with, after a change of it if one is given: the end of its key in the rig file, and its text.
fn another(session: &mut Session, rest: &str) -> Result<Vec<String>, SessionError> {
    let open = session.state().open_step().map(|i| &session.tree().steps[i].kind);
    let Some(StepKind::Read(read)) = open else {
        return Err(SessionError::Instrument("No reading is asked for now.".into()));
    };
    let fields: Vec<&Field> = instrument_fields(read.with, read.reading).collect();
    if fields.is_empty() {
        return Err(SessionError::Instrument(format!(
            "What a {} reads here is taken at its common accuracy, and nothing of it can be stated.",
            read.with.name()
        )));
    }
    let end = |f: &Field| f.path.rsplit('.').next().unwrap_or(f.path).to_owned();
    if !rest.is_empty() {
        let (key, text) = rest.split_once(' ').unwrap_or((rest, ""));
        let Some(field) = fields.iter().find(|f| end(f) == key) else {
            let keys: Vec<String> = fields.iter().map(|f| end(f)).collect();
            return Err(SessionError::Instrument(format!(
                "expected one of {}, found '{key}'.",
                keys.join(", ")
            )));
        };
        if text.trim().is_empty() {
            return Err(SessionError::Instrument(format!(
                "expected what it is now after '{key}', such as {}; found nothing.",
                field.default
            )));
        }
        session.change_instrument(vec![(field.path.to_owned(), text.trim().to_owned())])?;
    }
    let facts = &session.rig().facts;
    let text =
        |f: &Field| facts.iter().find(|fact| fact.path == f.path).map_or("", |fact| fact.text.as_str());
    Ok(fields.iter().map(|f| format!("{}: {} (instrument {} …)", f.label, text(f), end(f))).collect())
}

fn prompt(session: &Session) -> String {
    match session.ask() {
        Ask::Step(view) | Ask::Confirm(_, view) | Ask::Undo(_, view) => step_prompt(session, &view),
        _ => ">".to_owned(),
    }
}

fn step_prompt(session: &Session, view: &StepView) -> String {
    if !view.cautions_due.is_empty() {
        return "read the cautions; understood when they are so, ? for help >".to_owned();
    }
    match &view.step.kind {
        StepKind::Read(_) => format!("{}, reading with unit >", view.step.name()),
        StepKind::Observe { observation, answers } => {
            let all: Vec<&str> =
                session.shown(*observation, answers).into_iter().map(|a| a.outcome.id).collect();
            if observation.is_percentage() {
                "percentage found >".to_owned()
            } else {
                format!("{} >", all.join(" or "))
            }
        }
        _ => "done >".to_owned(),
    }
}

fn repaired(session: &mut Session, note: &str) -> Result<(), SessionError> {
    if repair_cautions_due(session) {
        return Err(SessionError::NoAnswer(
            "first the cautions above: type understood when they are so, do the repair, then type repaired"
                .to_owned(),
        ));
    }
    session.send(Event::Repaired { note: (!note.is_empty()).then(|| note.to_owned()) })
}

/// Whether the cautions of the repair that stands to be done are not confirmed yet.
fn repair_cautions_due(session: &Session) -> bool {
    matches!(session.ask(), Ask::Finding(finding)
        if finding.remedy.is_some() && !finding.cautions.is_empty() && !session.state().cautions_confirmed(&finding.id))
}

fn leave(session: &mut Session) -> Result<(), SessionError> {
    match session.ask() {
        Ask::Handover(_) => session.send(Event::HandedOver { note: None }),
        _ => session.send(Event::Accepted { note: None }),
    }
}

fn cannot(session: &mut Session, text: &str) -> Result<(), SessionError> {
    let (word, note) = text.split_once(' ').unwrap_or((text, ""));
    match word.parse::<Reason>() {
        Ok(reason) => session.cannot(reason, (!note.is_empty()).then(|| note.trim().to_owned())),
        Err(error) => Err(SessionError::NoAnswer(error)),
    }
}

/// Gives a text to the step open now.
fn give(
    session: &mut Session,
    out: &mut dyn Write,
    text: &str,
    place: Option<Place>,
) -> Result<Result<(), SessionError>, PlainError> {
    let kind = match session.ask() {
        Ask::Step(view) | Ask::Confirm(_, view) | Ask::Undo(_, view) => {
            if !view.cautions_due.is_empty() {
                return Ok(Err(SessionError::NoAnswer(format!(
                    "'{text}' is not taken yet: first the cautions above. When they are so, type understood; then give the answer"
                ))));
            }
            Some(match view.step.kind {
                StepKind::Read(_) => 'r',
                StepKind::Observe { .. } => 'o',
                _ => 'd',
            })
        }
        _ => None,
    };
    Ok(match kind {
        Some('r') => match session.read(text, place) {
            Ok(taken) => {
                say(out, &[show::taken(session, &taken), "Kept.".to_owned()])?;
                Ok(())
            }
            Err(error) => Err(error),
        },
        Some('o') => session.answer(text).map(|_| ()),
        Some(_) if matches!(text, "done" | "yes") => session.done(),
        Some(_) => Err(SessionError::NoAnswer(format!(
            "'{text}' is not understood; type done when it is done, or ? for help"
        ))),
        None => Err(SessionError::NoAnswer(format!(
            "'{text}' is not understood; type {}, or ? for help",
            words::now(session)
        ))),
    })
}
