//! A reading against its band, drawn on a fixed axis and always said in words beside it.

use super::super::look::Sign;
use super::super::sheet::Sheet;
use super::super::theme::Role;
use crate::quantity::figures;
use ratatui::text::Line;

/// An axis with a band and perhaps a marker, all in the unit shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// Left end of the axis.
    pub from: f64,
    /// Right end of the axis.
    pub to: f64,
    /// Lower limit; without it the band begins at the left end.
    pub low: Option<f64>,
    /// Upper limit; without it the band ends at the right end.
    pub high: Option<f64>,
    /// Symbol of the unit.
    pub unit: String,
    /// The reading.
    pub marker: Option<f64>,
    /// What is said at the marker, such as `51.0 low by 5.9`.
    pub says: String,
    /// The marker's meaning.
    pub role: Role,
}

impl Scale {
    /// Lays out the axis and, with a marker, the row under it.
    pub fn lay(&self, sheet: &mut Sheet) {
        let left = format!("{} ", figures(self.from, 3));
        let right = format!(" {} {}", figures(self.to, 3), self.unit);
        let cells = sheet.width.saturating_sub(left.len() + right.chars().count() + 2);
        if cells < 8 || !(self.to - self.from).is_finite() || self.to <= self.from {
            // Too narrow to draw: the words below say everything.
            if self.marker.is_some() && !self.says.is_empty() {
                sheet.text(self.role, &self.says);
            }
            return;
        }
        let look = sheet.look;
        let (begin, end) = self.band(cells);
        let rule = look.sign(Sign::Rule);
        let mut spans = vec![
            sheet.span(Role::Muted, &left),
            sheet.span(Role::Muted, look.sign(Sign::AxisLeft)),
            sheet.span(Role::Muted, &rule.repeat(begin)),
        ];
        let inner = (end - begin).saturating_sub(1);
        let band = format!("[{}]", look.sign(Sign::Band).repeat(inner));
        spans.push(sheet.span(Role::Within, &band));
        let rest = cells.saturating_sub(end + 1);
        spans.push(sheet.span(Role::Muted, &rule.repeat(rest)));
        spans.push(sheet.span(Role::Muted, look.sign(Sign::AxisRight)));
        spans.push(sheet.span(Role::Muted, &right));
        sheet.line(spans);
        if let Some(marker) = self.marker {
            self.mark(sheet, marker, left.len() + 1, cells);
        }
    }

    fn mark(&self, sheet: &mut Sheet, marker: f64, lead: usize, cells: usize) {
        let (cell, sign) = match self.cell(marker, cells) {
            Err(true) => (0, "<"),
            Err(false) => (cells - 1, ">"),
            Ok(cell) => (cell, sheet.look.sign(Sign::Marker)),
        };
        let says = sheet.look.text(&self.says);
        let size = says.chars().count();
        let style = sheet.look.style(self.role);
        let at = lead + cell;
        let text = if at + 2 + size <= sheet.width {
            format!("{}{sign} {says}", " ".repeat(at))
        } else if at > size {
            format!("{}{says} {sign}", " ".repeat(at - size - 1))
        } else {
            sheet.lines.push(Line::styled(format!("{}{sign}", " ".repeat(at)), style));
            sheet.text(self.role, &self.says);
            return;
        };
        sheet.lines.push(Line::styled(text, style));
    }

    /// The cell of a value; `Err(true)` off the left end, `Err(false)` off the right.
    fn cell(&self, value: f64, cells: usize) -> Result<usize, bool> {
        if value.is_nan() || value < self.from {
            return Err(true);
        }
        if value > self.to {
            return Err(false);
        }
        let share = (value - self.from) / (self.to - self.from);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // A share of 0 to 1 of a few hundred cells.
        let cell = (share * (cells - 1) as f64).round() as usize;
        Ok(cell.min(cells - 1))
    }

    /// First and last cell of the band, at least two apart so that its brackets fit.
    fn band(&self, cells: usize) -> (usize, usize) {
        let clamp = |value: Option<f64>, open: usize| match value.map(|v| self.cell(v, cells)) {
            None => open,
            Some(Ok(cell)) => cell,
            Some(Err(true)) => 0,
            Some(Err(false)) => cells - 1,
        };
        let begin = clamp(self.low, 0).min(cells - 2);
        let end = clamp(self.high, cells - 1).clamp(begin + 1, cells - 1);
        (begin, end)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::look::Look;
    use proptest::prelude::*;

    fn scale(marker: Option<f64>) -> Scale {
        Scale {
            from: 0.0,
            to: 100.0,
            low: Some(56.9),
            high: Some(60.3),
            unit: "psi".into(),
            marker,
            says: "51.0 low by 5.9".into(),
            role: Role::Outside,
        }
    }

    fn drawn(scale: &Scale, width: usize, ascii: bool) -> Vec<String> {
        let mut sheet = Sheet::new(Look { ascii, ..Look::default() }, width);
        scale.lay(&mut sheet);
        sheet.lines.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn the_band_and_the_marker_stand_where_they_belong() {
        let lines = drawn(&scale(Some(51.0)), 70, true);
        assert_eq!(
            lines,
            [
                "0 |--------------------------------[=]-----------------------| 100 psi",
                "                                | 51.0 low by 5.9",
            ]
        );
        let lines = drawn(&scale(None), 40, false);
        assert_eq!(lines, ["0 ├───────────────[]───────────┤ 100 psi"]);
    }

    #[test]
    fn off_the_scale_is_marked_and_still_said() {
        let high = Scale { says: "130 high by 69.7".into(), ..scale(Some(130.0)) };
        let lines = drawn(&high, 60, true);
        assert!(lines[1].trim_end().ends_with("130 high by 69.7 >"), "{lines:?}");
        let low = Scale { says: "-3 low".into(), ..scale(Some(-3.0)) };
        assert!(drawn(&low, 60, true)[1].trim_start().starts_with("< -3 low"));
    }

    #[test]
    fn without_room_the_words_are_left() {
        assert_eq!(drawn(&scale(Some(51.0)), 12, true), ["51.0 low by", "5.9"]);
    }

    proptest! {
        #[test]
        fn every_scale_fits_its_width(
            from in any::<f64>(), to in any::<f64>(), low in any::<Option<f64>>(), high in any::<Option<f64>>(),
            marker in any::<Option<f64>>(), width in 1usize..200,
        ) {
            let scale = Scale { from, to, low, high, marker, ..scale(None) };
            for line in drawn(&scale, width, true) {
                prop_assert!(line.len() <= width, "{line}");
            }
        }
    }
}
