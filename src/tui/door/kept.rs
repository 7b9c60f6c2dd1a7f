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

/// Takes in a case file; gives the case's id and what to say.
pub fn take_in(folder: &CaseFolder, file: &str) -> Result<(String, String), String> {
    let home = std::env::var_os("HOME").map(PathBuf::from);
    let path = match (file.strip_prefix("~/"), home) {
        (Some(rest), Some(home)) => home.join(rest),
        _ => PathBuf::from(file),
    };
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
