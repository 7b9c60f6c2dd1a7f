//! The car's fuel circuit as a row of parts: what is cleared, what is open, what is likely, and the readings at their points.

use super::super::look::Sign;
use super::super::sheet::{Sheet, pad};
use super::super::theme::Role;
use crate::instrument::Verdict;
use ratatui::text::{Line, Span};
use unicode_width::UnicodeWidthStr;

/// What is known of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartState {
    /// A reading or a look set it aside.
    Cleared,
    /// Nothing speaks for or against it yet.
    Open,
    /// It stands out.
    Likely,
}

impl PartState {
    /// The word shown.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cleared => "cleared",
            Self::Open => "maybe",
            Self::Likely => "likely",
        }
    }

    fn role(self) -> Role {
        match self {
            Self::Cleared => Role::Within,
            Self::Open => Role::Muted,
            Self::Likely => Role::Outside,
        }
    }
}

/// One part, or a point where a gauge sits.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Part {
    /// Its name; in brackets when it is a point.
    pub name: String,
    /// What is known of it; nothing for a point and before a case.
    pub state: Option<PartState>,
    /// Its odds, such as `9 in 20`.
    pub odds: Option<String>,
    /// The latest reading at it, with its verdict.
    pub reading: Option<(String, Option<Verdict>)>,
    /// The step is about this part.
    pub here: bool,
}

impl Part {
    /// A part without anything known.
    pub fn named(name: &str) -> Self {
        Self { name: name.to_owned(), ..Self::default() }
    }

    /// What stands in the column: name, state, reading, odds; at a point, name, reading, verdict.
    fn cells(&self, sheet: &Sheet) -> [(String, Role); 4] {
        let name = if self.here { self.name.to_uppercase() } else { self.name.clone() };
        let name = (name, if self.here { Role::Strong } else { Role::Text });
        let none = || (String::new(), Role::Text);
        let (value, verdict) = match &self.reading {
            None => (none(), none()),
            Some((text, verdict)) => {
                let role = match verdict {
                    None => Role::Text,
                    Some(Verdict::Within) => Role::Within,
                    Some(Verdict::Low | Verdict::High) => Role::Outside,
                    Some(_) => Role::Open,
                };
                ((text.clone(), role), (verdict.map_or("", Verdict::word).to_owned(), role))
            }
        };
        let cells = match self.state {
            None => [name, value, verdict, none()],
            Some(state) => {
                let reading = (format!("{} {}", value.0, verdict.0).trim().to_owned(), value.1);
                let odds = (self.odds.clone().unwrap_or_default(), Role::Muted);
                [name, (state.word().to_owned(), state.role()), reading, odds]
            }
        };
        cells.map(|(text, role)| (sheet.look.text(&text), role))
    }
}

/// The circuit in the order the fuel flows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Circuit {
    /// From the tank and, where fuel returns, back to it.
    pub parts: Vec<Part>,
    /// What is to be said of it, such as what sits in the tank.
    pub remarks: Vec<String>,
}

impl Circuit {
    /// Lays out the row; broken where it is too long, or with `around`, only the parts about the step that fit one row.
    pub fn lay(&self, sheet: &mut Sheet, around: bool) {
        let columns: Vec<[(String, Role); 4]> = self.parts.iter().map(|p| p.cells(sheet)).collect();
        let sizes: Vec<usize> =
            columns.iter().map(|c| c.iter().map(|(t, _)| t.width()).max().unwrap_or(0)).collect();
        let mut pipe = format!(" {} ", sheet.look.sign(Sign::Pipe));
        let whole = |link: usize| sizes.iter().sum::<usize>() + link * sizes.len().saturating_sub(1);
        if whole(pipe.width()) > sheet.width {
            pipe = format!(" {} ", sheet.look.sign(Sign::Rule));
        }
        let link = pipe.width();
        if around {
            let likely = self.parts.iter().position(|p| p.state == Some(PartState::Likely));
            let here = self.parts.iter().position(|p| p.here).or(likely).unwrap_or(0);
            let about = (here, likely.unwrap_or(here));
            let (first, last) = window(&sizes, about, sheet.width.saturating_sub(6), link);
            row(sheet, &columns[first..last], &sizes[first..last], &pipe, first > 0, last < sizes.len());
        } else {
            let mut first = 0;
            while first < sizes.len() {
                let mut last = first + 1;
                let mut used = sizes[first] + if first > 0 { 3 } else { 0 };
                // The pipe that runs on to the next row takes room only where there is one.
                let room =
                    |last: usize| sheet.width - if last + 1 < sizes.len() { 3.min(sheet.width) } else { 0 };
                while last < sizes.len() && used + link + sizes[last] <= room(last) {
                    used += link + sizes[last];
                    last += 1;
                }
                row(sheet, &columns[first..last], &sizes[first..last], &pipe, first > 0, last < sizes.len());
                first = last;
            }
        }
        if !around {
            for remark in &self.remarks {
                sheet.text(Role::Muted, remark);
            }
        }
    }
}

/// The parts about `here` that fit `width`, those up to the likely one where they do, then grown to both sides in turn.
fn window(sizes: &[usize], (here, likely): (usize, usize), width: usize, link: usize) -> (usize, usize) {
    if sizes.is_empty() {
        return (0, 0);
    }
    let taken =
        |first: usize, last: usize| sizes[first..last].iter().sum::<usize>() + link * (last - first - 1);
    let (mut first, mut last) = (here.min(likely), here.max(likely) + 1);
    if taken(first, last) > width {
        (first, last) = (here, here + 1);
    }
    let mut used = taken(first, last);
    loop {
        let mut grown = false;
        if first > 0 && used + link + sizes[first - 1] <= width {
            first -= 1;
            used += link + sizes[first];
            grown = true;
        }
        if last < sizes.len() && used + link + sizes[last] <= width {
            used += link + sizes[last];
            last += 1;
            grown = true;
        }
        if !grown {
            return (first, last);
        }
    }
}

fn row(
    sheet: &mut Sheet,
    columns: &[[(String, Role); 4]],
    sizes: &[usize],
    pipe: &str,
    before: bool,
    after: bool,
) {
    let look = sheet.look;
    let short = pipe.trim();
    for level in 0..4 {
        if level > 0 && columns.iter().all(|c| c[level].0.is_empty()) {
            continue;
        }
        let lead = match (level, before) {
            (0, true) => format!("{short} "),
            (_, true) => " ".repeat(short.width() + 1),
            _ => String::new(),
        };
        let mut spans = vec![Span::styled(lead, look.style(Role::Muted))];
        for (i, column) in columns.iter().enumerate() {
            if i > 0 {
                let joint = if level == 0 { pipe.to_owned() } else { " ".repeat(pipe.width()) };
                spans.push(Span::styled(joint, look.style(Role::Muted)));
            }
            let (text, role) = &column[level];
            let last = i + 1 == columns.len();
            // In the row of names the pipe runs on to the next part instead of leaving a hole.
            let cell = if last { text.clone() } else { pad(text, sizes[i]) };
            spans.push(Span::styled(cell, look.style(*role)));
        }
        if level == 0 && after {
            spans.push(Span::styled(format!(" {short}"), look.style(Role::Muted)));
        }
        sheet.lines.push(Line::from(spans));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::look::Look;

    fn circuit() -> Circuit {
        let mut parts: Vec<Part> =
            ["tank", "strainer", "pump", "filter", "feed", "(G)", "rail", "regulator", "return", "tank"]
                .map(Part::named)
                .into();
        parts[2] = Part {
            state: Some(PartState::Likely),
            odds: Some("9 in 20".into()),
            reading: Some(("12.1 V".into(), Some(Verdict::Within))),
            ..Part::named("pump")
        };
        parts[5].reading = Some(("51.0 psi".into(), Some(Verdict::Low)));
        parts[6].here = true;
        Circuit { parts, remarks: Vec::new() }
    }

    fn drawn(width: usize, around: bool) -> Vec<String> {
        let mut sheet = Sheet::new(Look { ascii: true, ..Look::default() }, width);
        circuit().lay(&mut sheet, around);
        sheet.lines.iter().map(|l| l.to_string().trim_end().to_owned()).collect()
    }

    #[test]
    fn one_row_where_it_fits() {
        assert_eq!(
            drawn(120, false),
            [
                "tank -- strainer -- pump          -- filter -- feed -- (G)      -- RAIL -- regulator -- return -- tank",
                "                    likely                             51.0 psi",
                "                    12.1 V within                      low",
                "                    9 in 20",
            ]
        );
    }

    #[test]
    fn a_narrow_screen_shows_the_parts_about_the_step() {
        assert_eq!(drawn(38, true), ["- (G)      - RAIL - regulator -", "  51.0 psi", "  low"]);
    }

    #[test]
    fn the_likely_part_is_among_them_where_there_is_room_and_stands_for_a_step_about_none() {
        let lines = |parts: &[Part], width: usize| {
            let mut sheet = Sheet::new(Look { ascii: true, ..Look::default() }, width);
            Circuit { parts: parts.to_vec(), remarks: Vec::new() }.lay(&mut sheet, true);
            sheet.lines.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
        };
        let mut parts = circuit().parts;
        parts[6].here = false;
        assert!(lines(&parts, 38).contains("likely"));
        parts[4].here = true;
        let near = lines(&parts, 45);
        assert!(near.contains("likely") && near.contains("FEED"), "{near}");
        parts[4].here = false;
        parts[8].here = true;
        assert!(lines(&parts, 38).contains("RETURN"), "the part of the step comes first");
    }

    #[test]
    fn nothing_is_wider_than_the_sheet_once_a_part_fits() {
        for width in 20..130 {
            for line in drawn(width, false).iter().chain(&drawn(width, true)) {
                assert!(line.len() <= width, "{width}: {line}");
            }
        }
    }
}
