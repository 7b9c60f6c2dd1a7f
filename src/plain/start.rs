//! What the line dialogue begins with: the complaint in a sentence, the walk, the car; or a case to go on with.

use super::PlainError;
use super::dialogue::{line, say};
use crate::library::Library;
use crate::rig::{FIELDS, Kind, RigDraft};
use crate::terms::{Complaint, nearest};
use std::io::{BufRead, Write};

/// What can be begun with.
#[derive(Debug)]
pub struct Offer<'a> {
    /// The trees.
    pub library: &'a Library,
    /// Cases kept: id and words.
    pub cases: Vec<(String, String)>,
    /// Cars kept: name and rig file.
    pub cars: Vec<(String, String)>,
    /// The car named at the start, which is not asked for: name and rig file.
    pub given: Option<(String, String)>,
}

/// What was chosen.
#[derive(Debug, Clone, PartialEq)]
pub enum Beginning {
    /// A new case.
    New {
        /// The tree's id.
        walk: String,
        /// The rig file's text.
        rig: String,
        /// The complaint in the person's words.
        complaint: String,
    },
    /// A kept case, by id.
    Kept(String),
    /// Nothing: the person left, or the input ended.
    Left,
}

const FIRST: &str = "What is wrong with the car? Say it in a sentence, or type: cases, questions, quit.";

const HELP: &str = "a sentence, such as: goes lean on long hills since the new pump
questions: what comes nearest, picked from a list
cases: go on with a case that is kept
quit: leave";

/// Asks what to begin with.
///
/// # Errors
/// [`PlainError::Io`]; what a person types wrong is answered in the dialogue.
pub fn choose(offer: &Offer, input: &mut dyn BufRead, out: &mut dyn Write) -> Result<Beginning, PlainError> {
    loop {
        say(out, &[FIRST.to_owned()])?;
        match begin(offer, input, out) {
            Ok(beginning) => return Ok(beginning),
            Err(Away::Back) => {}
            Err(Away::Left) => return Ok(Beginning::Left),
            Err(Away::Failed(error)) => return Err(error),
        }
    }
}

/// Why nothing was said where something was asked.
enum Away {
    /// Back to what was asked before.
    Back,
    /// The person leaves, or the input ended.
    Left,
    /// The lines can't be read or written.
    Failed(PlainError),
}

impl From<PlainError> for Away {
    fn from(error: PlainError) -> Self {
        Self::Failed(error)
    }
}

fn begin(offer: &Offer, input: &mut dyn BufRead, out: &mut dyn Write) -> Result<Beginning, Away> {
    loop {
        let text = line(input, out, "complaint >")?.ok_or(Away::Left)?;
        let kinds = match text.as_str() {
            "" => continue,
            "quit" | "q" => return Err(Away::Left),
            "help" | "?" => {
                say(out, &HELP.lines().map(str::to_owned).collect::<Vec<_>>())?;
                continue;
            }
            "cases" => {
                let row = pick(input, out, "Which case? Type its number.", "case", &words(&offer.cases))?;
                return Ok(Beginning::Kept(offer.cases[row].0.clone()));
            }
            "questions" => Vec::new(),
            sentence => Complaint::in_sentence(sentence),
        };
        let kinds = if kinds.is_empty() {
            let all: Vec<String> = Complaint::ALL.iter().map(|k| k.question().to_owned()).collect();
            let row = pick(input, out, "What comes nearest? Type its number.", "complaint", &all)?;
            vec![Complaint::ALL[row]]
        } else {
            let names: Vec<&str> = kinds.iter().map(|k| k.name()).collect();
            say(out, &[format!("Understood: {}.", names.join("; "))])?;
            kinds
        };
        let complaint = if text == "questions" { kinds[0].name().to_owned() } else { text };
        let walks = offer.library.answering(&kinds);
        let walk = match walks.as_slice() {
            [] => {
                say(
                    out,
                    &["No walk answers that complaint. Say it otherwise, or type: questions.".to_owned()],
                )?;
                continue;
            }
            [only] => {
                say(out, &[format!("The walk: {}. It is the only one that answers this.", only.title)])?;
                only.id.clone()
            }
            _ => {
                let title = "Which walk? Type its number; the fittest stands first.";
                let titles: Vec<String> = walks.iter().map(|w| w.title.clone()).collect();
                walks[pick(input, out, title, "walk", &titles)?].id.clone()
            }
        };
        return Ok(Beginning::New { walk, rig: car(offer, input, out)?, complaint });
    }
}

fn words(list: &[(String, String)]) -> Vec<String> {
    list.iter().map(|(_, words)| words.clone()).collect()
}

/// A row by its number. An empty line or a question mark shows the list again.
fn pick(
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    title: &str,
    prompt: &str,
    rows: &[String],
) -> Result<usize, Away> {
    if rows.is_empty() {
        say(out, &["There is none yet.".to_owned()])?;
        return Err(Away::Back);
    }
    let mut list = vec![title.to_owned()];
    list.extend(rows.iter().enumerate().map(|(i, row)| format!("{}: {row}", i + 1)));
    say(out, &list)?;
    loop {
        let text = line(input, out, &format!("{prompt} >"))?.ok_or(Away::Left)?;
        match text.as_str() {
            "back" => return Err(Away::Back),
            "quit" | "q" => return Err(Away::Left),
            "" | "help" | "?" => {
                say(out, &list)?;
                continue;
            }
            _ => {}
        }
        match text.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).filter(|row| *row < rows.len()) {
            Some(row) => return Ok(row),
            None => say(
                out,
                &[format!("Error: expected a number from 1 to {}, back or quit; found '{text}'", rows.len())],
            )?,
        }
    }
}

/// The car's rig file.
fn car(offer: &Offer, input: &mut dyn BufRead, out: &mut dyn Write) -> Result<String, Away> {
    if let Some((name, text)) = &offer.given {
        return stated(name, text, input, out);
    }
    let mut names = words(&offer.cars.iter().map(|(n, _)| (String::new(), n.clone())).collect::<Vec<_>>());
    names.push("another car: start from common values and change what is known".to_owned());
    let row = pick(input, out, "Which car? Type its number.", "car", &names)?;
    match offer.cars.get(row) {
        None => stated("another car", "format: 1\n", input, out),
        Some((name, text)) => stated(name, text, input, out),
    }
}

/// A car to which more can be stated, until the walk begins.
fn stated(name: &str, text: &str, input: &mut dyn BufRead, out: &mut dyn Write) -> Result<String, Away> {
    let mut draft = match RigDraft::parse(name, text) {
        Ok(draft) => draft,
        Err(error) => {
            say(out, &[format!("Error: {error}")])?;
            RigDraft::default()
        }
    };
    say(out, &[format!("The car: {}.", draft.name().unwrap_or(name))])?;
    say(
        out,
        &["Type a fact with its value, such as: regulator.set 58 psi. Every fact has a common value until it is stated; \
           facts lists them. begin goes on to the first step."
            .to_owned()],
    )?;
    loop {
        let text = line(input, out, "fact, or begin >")?.ok_or(Away::Left)?;
        let (key, value) = text.split_once(' ').map_or((text.as_str(), ""), |(k, v)| (k, v.trim()));
        match key {
            "" => {}
            "back" => return Err(Away::Back),
            "quit" | "q" => return Err(Away::Left),
            "facts" => say(out, &facts(&draft))?,
            "help" | "?" => say(
                out,
                &[
                    "FACT VALUE: state a fact, such as: regulator.set 58 psi".to_owned(),
                    "FACT: take it back to its common value".to_owned(),
                    "facts: every fact with its value".to_owned(),
                    "begin: go on to the first step".to_owned(),
                    "back: back to the complaint".to_owned(),
                    "quit: leave".to_owned(),
                ],
            )?,
            "begin" => match draft.rig() {
                Ok(_) => return Ok(draft.yaml()),
                Err(error) => say(out, &[format!("Error: {error}")])?,
            },
            key => say(out, &[state(&mut draft, key, value)])?,
        }
    }
}

/// States a fact; a value that is wrong is not taken.
fn state(draft: &mut RigDraft, key: &str, value: &str) -> String {
    let Some(field) = FIELDS.iter().find(|f| f.path == key) else {
        let near = nearest(key, FIELDS.iter().map(|f| f.path));
        let near = near.map_or_else(String::new, |near| format!(" did you mean '{near}'?"));
        return format!("Error: there is no fact called '{key}';{near} type facts to see them all");
    };
    let before = draft.stated(key).unwrap_or_default();
    draft.set(key, value);
    let problem = draft.rig().err().and_then(|e| e.problems.into_iter().find(|p| p.path == key));
    match problem {
        Some(problem) => {
            draft.set(key, &before);
            format!("Error: {}", problem.message)
        }
        None if value.is_empty() => format!("{}: back to its common value.", field.label),
        None => format!("{}: {value}.", field.label),
    }
}

fn facts(draft: &RigDraft) -> Vec<String> {
    let used = draft.rig().ok();
    FIELDS
        .iter()
        .map(|field| {
            let choices = match field.kind {
                Kind::Choice(options) => format!(", one of {}", options.join(", ")),
                Kind::YesNo => ", yes or no".to_owned(),
                _ => String::new(),
            };
            if let Some(value) = draft.stated(field.path) {
                return format!("{}: {}: {value}{choices}", field.path, field.label);
            }
            let fact = used.as_ref().and_then(|r| r.facts.iter().find(|f| f.path == field.path));
            let value = fact.map_or(field.default, |f| f.text.as_str());
            let value = if value.is_empty() { "not given" } else { value };
            format!("{}: {}: {value}, nobody stated it{choices}", field.path, field.label)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn begun(offer: &Offer, lines: &str) -> (Beginning, String) {
        let mut out = Vec::new();
        let chosen = choose(offer, &mut lines.as_bytes(), &mut out).unwrap();
        (chosen, String::from_utf8(out).unwrap())
    }

    fn offer(library: &Library) -> Offer<'_> {
        Offer {
            library,
            cases: vec![("20260101-0000".into(), "orchard pickup, lean".into())],
            cars: vec![("orchard pickup".into(), "format: 1\nrig: orchard pickup\n".into())],
            given: None,
        }
    }

    #[test]
    fn a_sentence_leads_to_a_walk_and_a_car_with_what_is_known() {
        let library = Library::embedded();
        let lines =
            "no fuel pressure\n2\nregulator.set 58 V\nregulator.set 58 psi\nrig Long Meadow van\nbegin\n";
        let (chosen, said) = begun(&offer(&library), lines);
        let Beginning::New { walk, rig, complaint } = chosen else { panic!("{said}") };
        assert_eq!((walk.as_str(), complaint.as_str()), ("no-pressure", "no fuel pressure"));
        assert!(said.contains("Understood: no fuel pressure"), "{said}");
        assert!(said.contains("Error: expected a pressure, found '58 V', a voltage"), "{said}");
        let rig = crate::rig::Rig::parse("test", &rig).unwrap();
        assert_eq!(rig.name, "Long Meadow van");
        assert!(!rig.is_default("regulator.set"));
    }

    #[test]
    fn a_car_named_at_the_start_is_not_asked_for() {
        let library = Library::embedded();
        let car = ("mill van".to_owned(), "format: 1\nrig: mill van\n".to_owned());
        let with = Offer { given: Some(car), ..offer(&library) };
        let (chosen, said) = begun(&with, "no fuel pressure\nbegin\n");
        let Beginning::New { rig, .. } = chosen else { panic!("{said}") };
        assert_eq!(crate::rig::Rig::parse("test", &rig).unwrap().name, "mill van");
        assert!(said.contains("The car: mill van.") && !said.contains("Which car?"), "{said}");
    }

    #[test]
    fn words_not_known_lead_to_questions_and_several_walks_to_a_choice() {
        let library = Library::embedded();
        let (chosen, said) = begun(&offer(&library), "it is odd\n99\n1\n1\n1\nbegin\n");
        assert!(
            said.contains("What comes nearest?") && said.contains("expected a number from 1 to"),
            "{said}"
        );
        let Beginning::New { walk, complaint, .. } = chosen else { panic!("{said}") };
        assert_eq!((walk.as_str(), complaint.as_str()), ("runs-lean", "it is odd"));
    }

    #[test]
    fn at_every_list_a_stray_line_is_answered_and_q_leaves() {
        let library = Library::embedded();
        let (chosen, said) = begun(&offer(&library), "lean\nyes\n\nq\n");
        assert_eq!(chosen, Beginning::Left);
        assert!(said.contains("expected a number from 1 to") && said.contains("found 'yes'"), "{said}");
        assert_eq!(said.matches("Which walk?").count(), 2, "an empty line shows the list again: {said}");
        for lines in ["q\n", "cases\nq\n", "questions\nq\n", "lean\n1\nq\n", "lean\n1\n1\nq\n"] {
            let (chosen, said) = begun(&offer(&library), lines);
            assert_eq!(chosen, Beginning::Left, "{lines:?}");
            assert!(!said.contains("Error"), "{lines:?}: {said}");
        }
        let (_, said) = begun(&offer(&library), "lean\nback\nno fuel pressure\nback\nlean\n1\n1\nback\n");
        assert_eq!(said.matches(FIRST).count(), 4, "back asks again what was asked: {said}");
    }

    #[test]
    fn of_two_walks_that_fit_as_well_the_one_for_what_was_said_first_stands_first() {
        let library = Library::embedded();
        for (sentence, first) in
            [("rich or lean at idle", "runs-rich"), ("lean or rich at idle", "runs-lean")]
        {
            let (chosen, said) = begun(&offer(&library), &format!("{sentence}\n1\n1\nbegin\n"));
            let Beginning::New { walk, .. } = chosen else { panic!("{said}") };
            assert_eq!(walk, first, "{sentence}");
        }
    }

    #[test]
    fn a_question_mark_is_help_and_a_fact_misspelt_is_offered() {
        let library = Library::embedded();
        let (_, said) = begun(&offer(&library), "?\nno fuel pressure\n2\n?\nregulator.sett 58 psi\nquit\n");
        assert!(said.contains("cases: go on with a case that is kept"), "{said}");
        assert!(said.contains("begin: go on to the first step"), "{said}");
        assert!(said.contains("no fact called 'regulator.sett'; did you mean 'regulator.set'?"), "{said}");
    }

    #[test]
    fn a_kept_case_is_gone_on_with_and_the_end_of_the_input_leaves() {
        let library = Library::embedded();
        assert_eq!(begun(&offer(&library), "cases\n1\n").0, Beginning::Kept("20260101-0000".into()));
        for lines in ["", "quit\n", "lean\n", "lean\n1\n", "lean\n1\n1\n", "lean\n1\n1\nfacts\n"] {
            assert_eq!(begun(&offer(&library), lines).0, Beginning::Left, "{lines:?}");
        }
        let none = Offer { cases: Vec::new(), ..offer(&library) };
        assert!(begun(&none, "cases\nquit\n").1.contains("There is none yet."));
    }
}
