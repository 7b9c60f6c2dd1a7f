//! Cases on disk as the screens list them, and files of cases from one agent to another.

use super::super::desk::CaseLine;
use crate::case::{Case, CaseFolder, CaseState, Imported};
use crate::rig::name_in;
use crate::walk::Event;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::path::PathBuf;

/// A moment in the time of this place.
pub fn local(time: Timestamp, format: &str) -> String {
    time.to_zoned_datetime(TimeZone::system()).strftime(format).to_string()
}

/// How long ago a moment was, in whole units; nothing within ten minutes.
pub fn ago(then: Timestamp, now: Timestamp) -> Option<String> {
    let minutes = now.duration_since(then).as_mins();
    let of = |n: i64, unit: &str| format!("{n} {unit}{}", if n == 1 { "" } else { "s" });
    match minutes {
        ..10 => None,
        10..120 => Some(of(minutes, "minute")),
        120..2_880 => Some(of(minutes / 60, "hour")),
        _ => Some(of(minutes / 1_440, "day")),
    }
}

/// Every case, the one worked on last first.
pub fn list(folder: &CaseFolder) -> Result<Vec<CaseLine>, String> {
    let mut list = folder.list().map_err(|e| e.to_string())?;
    list.sort_by_key(|c| std::cmp::Reverse(c.changed.or(c.created)));
    Ok(list
        .into_iter()
        .map(|c| CaseLine {
            car: name_in(&c.rig),
            complaint: c.complaint.unwrap_or(c.tree),
            stands: match &c.state {
                CaseState::Open => "open".into(),
                CaseState::Closed => "closed".into(),
                CaseState::NoHeader => "not begun, or damaged".into(),
                CaseState::Newer(version) => format!("written by a newer version, {version}"),
                CaseState::Unreadable(why) => format!("cannot be read: {why}"),
            },
            when: c.changed.or(c.created).map_or_else(String::new, |t| local(t, "%Y-%m-%d %H:%M")),
            closed: c.state == CaseState::Closed,
            simulated: c.simulated,
            id: c.id,
        })
        .collect())
}

/// Where the case goes on, and how it is found again.
pub fn goes_on(folder: &CaseFolder) -> String {
    let folder = folder.path().display();
    format!("The case goes on in {folder}. Another time: faultwalk --cases {folder}")
}

/// A path as typed; a tilde stands for the home folder.
pub fn path_of(typed: &str) -> PathBuf {
    let home = std::env::var_os("HOME").map(PathBuf::from);
    match (typed.strip_prefix("~/"), home) {
        (Some(rest), Some(home)) => home.join(rest),
        _ => PathBuf::from(typed),
    }
}

/// Takes in a case file; gives the case's id and what to say.
pub fn take_in(folder: &CaseFolder, file: &str) -> Result<(String, String), String> {
    let path = path_of(file);
    let taken = folder.import::<Event>(&path).map_err(|e| e.to_string())?;
    let said = match &taken {
        Imported::New(_) => "Taken in. It goes on where it stood.".to_owned(),
        Imported::Continued(_, more) => format!("It was here already and has gone on by {more} records."),
        Imported::Known(_) => "All of it was here already.".to_owned(),
    };
    Ok((taken.id().to_owned(), said))
}

/// Writes a case as one file beside it, for another agent; gives where.
pub fn hand_over(folder: &CaseFolder, case: &Case) -> Result<String, String> {
    let stamp = local(Timestamp::now(), "%Y%m%d-%H%M%S");
    let to = case.path().with_file_name(format!("{}-handed-over-{stamp}.case", case.id()));
    folder.export::<Event>(case.id(), &to).map_err(|e| e.to_string())?;
    Ok(to.display().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::ToSpan;

    #[test]
    fn how_long_ago_is_said_in_whole_units() {
        let then: Timestamp = "2026-01-01T08:00:00Z".parse().unwrap();
        let after = |minutes: i64| ago(then, then + minutes.minutes());
        assert_eq!(after(9), None);
        assert_eq!(after(-30), None, "a clock set back says nothing");
        assert_eq!(after(11).unwrap(), "11 minutes");
        assert_eq!(after(119).unwrap(), "119 minutes");
        assert_eq!(after(60 * 47).unwrap(), "47 hours");
        assert_eq!(after(60 * 24 * 3 + 5).unwrap(), "3 days");
    }
}
