//! Practice as a dialogue: pick a move by its number, see what it gives, name the part.

use super::PlainError;
use super::dialogue::{line, say};
use crate::practice::{Answer, Debrief, Group, Lesson, Named, Stop};
use crate::quantity::figures;
use crate::terms::{Part, State, nearest};
use std::io::{BufRead, Write};

const HELP: &str = "NUMBER: do the move with that number
list [WORD]: every move, or those of a group (look, electrical, pressure, mixture, prepare) or with a word in the name
record: what was done and what it gave
standing: how the car stands: what is fitted, open, proved
parts: what can be named
name PART: name the part at fault; a wrong one costs the minutes of changing it
give up: end the exercise and see the fault
quit: leave";

fn help() -> Vec<String> {
    HELP.lines().map(str::to_owned).collect()
}

/// Practises until the part is named, the trainee gives up, or the input ends.
///
/// # Errors
/// [`PlainError::Io`]; what a person types wrong is answered in the dialogue.
pub fn practise(
    lesson: &mut Lesson,
    begin: &[String],
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<Option<Debrief>, PlainError> {
    say(out, begin)?;
    say(out, &help())?;
    while !lesson.over() {
        let prompt = format!("SIMULATED, {} min >", figures(lesson.minutes(), 4));
        let Some(text) = line(input, out, &prompt)? else { return Ok(None) };
        let (word, rest) = text.split_once(' ').map_or((text.as_str(), ""), |(w, r)| (w, r.trim()));
        let lines = match word {
            "" => continue,
            "quit" | "q" => return Ok(None),
            "help" | "?" => help(),
            "list" => list(lesson, rest),
            "record" => record(lesson),
            "standing" => standing(lesson),
            "parts" => vec![lesson.parts().iter().map(|p| p.id()).collect::<Vec<_>>().join(", ")],
            "name" => name(lesson, rest),
            "give" => {
                lesson.give_up();
                vec!["Given up.".to_owned()]
            }
            number => match number.parse::<usize>() {
                Ok(n) if n >= 1 && n <= lesson.moves().len() => pick(lesson, n - 1),
                Ok(n) => vec![format!(
                    "expected a move from 1 to {}, found {n}; 'list' shows them",
                    lesson.moves().len()
                )],
                Err(_) => vec![format!("'{text}' is not understood; type a number from 'list', or help")],
            },
        };
        say(out, &lines)?;
    }
    let debrief = lesson.debrief();
    say(out, &told(&debrief))?;
    Ok(Some(debrief))
}

fn list(lesson: &Lesson, word: &str) -> Vec<String> {
    let word = word.to_lowercase();
    let mut lines = Vec::new();
    for group in Group::ALL {
        let mut head = Some(format!("{}:", group.name()));
        for (i, m) in lesson.moves().iter().enumerate().filter(|(_, m)| m.group == group) {
            if word.is_empty() || group.name() == word || m.name.to_lowercase().contains(&word) {
                lines.extend(head.take());
                lines.push(format!("  {:>3}  {}, {} min", i + 1, m.name, figures(m.minutes, 3)));
            }
        }
    }
    if lines.is_empty() {
        lines.push(format!("No move has '{word}' in its name; 'list' shows all."));
    }
    lines
}

fn pick(lesson: &mut Lesson, index: usize) -> Vec<String> {
    let action = lesson.moves()[index].action.clone();
    match lesson.pick(index) {
        Some(Answer::Done(done)) => {
            let expected = done.expected.map_or_else(String::new, |e| format!(" (a sound car: {e})"));
            vec![action, format!("  {}{expected}", done.result)]
        }
        Some(Answer::Stopped(Stop::Unsafe { why, first })) => vec![
            format!("STOPPED, unsafe: {why}"),
            format!("  First: {first}. Ten minutes are lost putting things right."),
        ],
        Some(Answer::Stopped(Stop::NotYet { first })) => vec![format!("Not yet. First: {first}.")],
        None => vec!["The exercise is over.".to_owned()],
    }
}

fn record(lesson: &Lesson) -> Vec<String> {
    if lesson.log().is_empty() {
        return vec!["Nothing is done yet.".to_owned()];
    }
    lesson
        .log()
        .iter()
        .enumerate()
        .map(|(i, d)| format!("{:>3}. {}: {}", i + 1, lesson.moves()[d.index].name, d.result))
        .collect()
}

fn standing(lesson: &Lesson) -> Vec<String> {
    let held: Vec<&str> = lesson.standing().held.iter().map(State::name).collect();
    vec![if held.is_empty() {
        "As it was driven in: nothing fitted, open or proved.".to_owned()
    } else {
        held.join("; ")
    }]
}

fn name(lesson: &mut Lesson, text: &str) -> Vec<String> {
    let id = text.trim().replace(' ', "-");
    let parts = lesson.parts();
    let Some(part) = parts.iter().find(|p| p.id() == id).copied() else {
        let near = nearest(&id, parts.iter().map(|p| p.id()));
        let meant = near.map_or_else(String::new, |n| format!(" (did you mean {n}?)"));
        return vec![format!("expected a part from 'parts', found '{text}'{meant}")];
    };
    match lesson.name(part) {
        Named::Right => vec![format!("Right: {}.", words(part))],
        Named::Wrong(minutes) => vec![format!(
            "The {} was changed, and the car is as it was. {} minutes are gone.",
            words(part),
            figures(minutes, 3)
        )],
    }
}

fn words(part: Part) -> String {
    part.id().replace('-', " ")
}

fn all(parts: &[Part]) -> String {
    parts.iter().map(|p| words(*p)).collect::<Vec<_>>().join(", ")
}

/// The debrief in lines.
pub fn told(debrief: &Debrief) -> Vec<String> {
    let mut lines = vec![
        String::new(),
        "PRACTICE ON A SIMULATED CAR: nothing here was measured on a real one.".to_owned(),
        format!(
            "In the car: {} (severity {:.2}). It is mended at: {}.",
            debrief.fault.id().replace('-', " "),
            debrief.severity,
            words(debrief.part)
        ),
        "Your moves:".to_owned(),
    ];
    for (i, t) in debrief.told.iter().enumerate() {
        lines.push(format!("{:>3}. {}: {} ({} min)", i + 1, t.name, t.result, figures(t.minutes, 3)));
        if !t.set_aside.is_empty() {
            lines.push(format!("     set aside: {}", all(&t.set_aside)));
        }
        if !t.raised.is_empty() {
            lines.push(format!("     raised: {}", all(&t.raised)));
        }
    }
    if debrief.stops.0 > 0 {
        lines.push(format!(
            "Unsafe orders stopped: {} ({} min).",
            debrief.stops.0,
            figures(debrief.stops.1, 3)
        ));
    }
    for (part, minutes) in &debrief.wrong {
        lines.push(format!("Changed in vain: {} ({} min).", words(*part), figures(*minutes, 3)));
    }
    let cheapest = &debrief.cheapest;
    lines.push("The order that tells most a minute:".to_owned());
    for (i, (name, minutes)) in cheapest.steps.iter().enumerate() {
        lines.push(format!("{:>3}. {name} ({} min)", i + 1, figures(*minutes, 3)));
    }
    if !cheapest.certain {
        lines.push(
            "     It ends without certainty: the tests at hand do not part this fault from its like."
                .to_owned(),
        );
    }
    lines.push(format!(
        "Score: {} minutes; that order takes {}.",
        figures(debrief.minutes, 4),
        figures(cheapest.minutes, 4)
    ));
    lines
}
