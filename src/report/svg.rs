//! Drawings for the HTML form, as inline SVG: no script, no reference to anything outside, every text escaped, a title in
//! words in each. Verdicts carry their word and a shape; nothing rests on colour.

use super::markdown::span;
use super::model::{Against, Row, Slope, Station};
use super::units;
use crate::quantity::{Unit, figures};
use crate::text::html;
use std::fmt::Write as _;

/// Characters of a text in a drawing; the tables hold all of it.
const LONGEST: usize = 45;

fn clipped(text: &str) -> String {
    if text.chars().count() <= LONGEST {
        return html(text);
    }
    let short: String = text.chars().take(LONGEST - 1).collect();
    html(&format!("{}…", short.trim_end()))
}

fn open(width: f64, height: f64, class: &str, title: &str) -> String {
    format!(
        "<svg class=\"{class}\" viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\"><title>{}</title>",
        html(title)
    )
}

fn text(out: &mut String, x: f64, y: f64, anchor: &str, class: &str, words: &str) {
    let _ = write!(
        out,
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" class=\"{class}\">{}</text>",
        clipped(words)
    );
}

fn line(out: &mut String, from: (f64, f64), to: (f64, f64), class: &str) {
    let _ = write!(
        out,
        "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" class=\"{class}\"/>",
        from.0, from.1, to.0, to.1
    );
}

/// A reading against its band; none without any limit.
pub(super) fn band(row: &Row, a: &Against) -> Option<String> {
    const WIDTH: f64 = 240.0;
    const EDGE: f64 = 4.0;
    let (low, high) = match (a.low, a.high) {
        (None, None) => return None,
        (low, high) => {
            // A side without a limit goes on past the reading.
            let known = low.or(high)?;
            let reach = (a.value - known).abs().max(known.abs() * 0.1).max(1e-9);
            (low.unwrap_or(known - 1.5 * reach), high.unwrap_or(known + 1.5 * reach))
        }
    };
    let (left, right) = span(a.value, low, high);
    // What is expected may lie far outside limits that a tree gives.
    let (left, right) = a.expected.map_or((left, right), |e| {
        let (first, last) = span(e, low, high);
        (left.min(first), right.max(last))
    });
    let x = |v: f64| EDGE + (v - left) / (right - left) * (WIDTH - 2.0 * EDGE);
    let verdict = row.verdict.as_deref().unwrap_or("");
    let expected = row.expected.as_deref().unwrap_or("no limits");
    let mut out =
        open(WIDTH, 30.0, "band", &format!("{}: {}, {verdict}; expected {expected}", row.title, row.given));
    line(&mut out, (EDGE, 12.0), (WIDTH - EDGE, 12.0), "axis");
    let from = if a.low.is_some() { x(low) } else { EDGE };
    let to = if a.high.is_some() { x(high) } else { WIDTH - EDGE };
    let _ = write!(
        out,
        "<rect x=\"{from:.1}\" y=\"7\" width=\"{:.1}\" height=\"10\" class=\"in\"/>",
        (to - from).max(1.0)
    );
    if let Some(e) = a.expected {
        line(&mut out, (x(e), 7.0), (x(e), 17.0), "want");
    }
    let at = x(a.value);
    let half = (a.uncertainty * 2.0 / (right - left) * (WIDTH - 2.0 * EDGE)).min(WIDTH);
    line(&mut out, ((at - half).max(EDGE), 12.0), ((at + half).min(WIDTH - EDGE), 12.0), "doubt");
    let _ = write!(
        out,
        "<path d=\"M{at:.1} 12l-4 -10h8z\" class=\"mark\"/><path d=\"M{at:.1} 2v18\" class=\"needle\"/>"
    );
    text(&mut out, EDGE, 28.0, "start", "tick", &figures(left, 3));
    text(&mut out, WIDTH - EDGE, 28.0, "end", "tick", &format!("{} {}", figures(right, 3), a.unit));
    out.push_str("</svg>");
    Some(out)
}

/// Parts and places one under the other in the order of flow, what was read there beside each.
pub(super) fn path(stations: &[Station], title: &str) -> String {
    const WIDTH: f64 = 380.0;
    const PART: f64 = 124.0;
    const STEP: f64 = 14.0;
    /// Where the flow runs down.
    const SPINE: f64 = 13.0;
    let rows = |s: &Station| s.readings.len().max(1) as f64 * STEP + 6.0;
    let height: f64 = stations.iter().map(rows).sum::<f64>() + 4.0;
    let told: Vec<String> = stations
        .iter()
        .map(|s| {
            if s.readings.is_empty() {
                s.name.clone()
            } else {
                format!("{} ({})", s.name, s.readings.join("; "))
            }
        })
        .collect();
    let mut out = open(WIDTH, height, "path", &format!("{title}: {}", told.join(", then ")));
    let middles: Vec<f64> = stations
        .iter()
        .scan(2.0, |y, s| {
            let middle = *y + rows(s) / 2.0;
            *y += rows(s);
            Some(middle)
        })
        .collect();
    if let (Some(first), Some(last)) = (middles.first(), middles.last()) {
        line(&mut out, (SPINE, *first), (SPINE, *last), "flow");
    }
    for (s, middle) in stations.iter().zip(&middles) {
        let class = if s.off { "part off" } else { "part" };
        if s.point {
            let _ = write!(out, "<circle cx=\"{SPINE:.1}\" cy=\"{middle:.1}\" r=\"4\" class=\"{class}\"/>");
            text(&mut out, SPINE + 10.0, middle + 3.5, "start", "small", &s.name);
        } else {
            let _ = write!(
                out,
                "<rect x=\"4\" y=\"{:.1}\" width=\"{PART}\" height=\"{:.1}\" rx=\"2\" class=\"{class}\"/>",
                middle - STEP / 2.0 - 1.0,
                STEP + 2.0
            );
            text(&mut out, SPINE + 10.0, middle + 4.0, "start", "name", &s.name);
        }
        let top = middle - s.readings.len() as f64 * STEP / 2.0;
        for (n, reading) in s.readings.iter().enumerate() {
            let base = top + (n as f64 + 0.75) * STEP;
            text(&mut out, PART + 12.0, base, "start", "read", reading);
        }
    }
    out.push_str("</svg>");
    out
}

/// Rail pressure against what its reference should follow, with the line of the right reference.
pub(super) fn slope(s: &Slope, unit: &Unit) -> String {
    const WIDTH: f64 = 380.0;
    const HEIGHT: f64 = 190.0;
    /// Width of the longest name of a condition.
    const APART: f64 = 150.0;
    let (left, right, top, bottom) = (44.0, WIDTH - 14.0, 20.0, HEIGHT - 34.0);
    let ends = |values: Vec<f64>| {
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let pad = ((high - low) * 0.12).max(5.0);
        (low - pad, high + pad)
    };
    let (x0, x1) = ends(s.points.iter().map(|p| p.at_kpa).collect());
    let (low, high) = ends(s.points.iter().flat_map(|p| [p.rail_kpa, p.right_kpa]).collect());
    // A slope of one is to look steep and a slope of nought flat, so the upright axis spans no less than the other.
    let more = ((x1 - x0) - (high - low)).max(0.0) / 2.0;
    let (y0, y1) = (low - more, high + more);
    let x = |v: f64| left + (v - x0) / (x1 - x0) * (right - left);
    let y = |v: f64| bottom - (v - y0) / (y1 - y0) * (bottom - top);
    let shown = |kpa: f64| figures(units::from_kpa(unit, kpa), 3);
    let told: Vec<String> = s
        .points
        .iter()
        .map(|p| format!("{}: {} {unit} at {} {unit}", p.condition, shown(p.rail_kpa), shown(p.at_kpa)))
        .collect();
    let measured = s.measured.map_or("not to be had".to_owned(), |m| figures(m, 2));
    let mut out = open(
        WIDTH,
        HEIGHT,
        "slope",
        &format!(
            "Rail pressure against {}: {}. Slope of the right reference {}, measured {measured}.",
            s.along,
            told.join("; "),
            figures(s.right, 2)
        ),
    );
    line(&mut out, (left, bottom), (right, bottom), "axis");
    line(&mut out, (left, top), (left, bottom), "axis");
    for v in [x0, f64::midpoint(x0, x1), x1] {
        text(&mut out, x(v), bottom + 12.0, "middle", "tick", &shown(v));
    }
    for v in [y0, f64::midpoint(y0, y1), y1] {
        text(&mut out, left - 4.0, y(v) + 3.0, "end", "tick", &shown(v));
    }
    let mut by_axis: Vec<_> = s.points.iter().collect();
    by_axis.sort_by(|a, b| a.at_kpa.total_cmp(&b.at_kpa));
    for pair in by_axis.windows(2) {
        let to = |p: &super::model::SlopePoint| (x(p.at_kpa), y(p.right_kpa));
        line(&mut out, to(pair[0]), to(pair[1]), "want");
    }
    let mut told: Vec<(f64, f64)> = Vec::new();
    for p in &by_axis {
        let (px, py) = (x(p.at_kpa), y(p.rail_kpa));
        let class = if p.at_measured { "mark" } else { "mark hollow" };
        let _ = write!(out, "<circle cx=\"{px:.1}\" cy=\"{py:.1}\" r=\"3.5\" class=\"{class}\"/>");
        let anchor = if px > f64::midpoint(left, right) { "end" } else { "start" };
        let beside = if anchor == "end" { px - 6.0 } else { px + 6.0 };
        // Conditions with the same pressures lie on one another, and what is said of them must not.
        let clear =
            |y: &f64| told.iter().all(|(x, other)| (x - beside).abs() > APART || (y - other).abs() > 8.0);
        let under = [11.0, -5.0, 20.0, -14.0, 29.0, -23.0].map(|by| py + by);
        let under = under.into_iter().find(clear).unwrap_or(py + 11.0);
        told.push((beside, under));
        text(&mut out, beside, under, anchor, "small", &p.condition);
    }
    text(&mut out, right, HEIGHT - 8.0, "end", "small", &format!("{}, {unit} absolute", s.along));
    text(&mut out, 2.0, 9.0, "start", "small", &format!("rail, {unit}"));
    out.push_str("</svg>");
    out
}

#[cfg(test)]
mod tests {
    use super::super::model::{Phase, SlopePoint};
    use super::*;

    /// A reading of the pump's current.
    fn row(value: f64, low: Option<f64>, high: Option<f64>, expected: Option<f64>) -> Row {
        let unit = "A".to_owned();
        Row {
            number: 1,
            step: "current".into(),
            title: "pump current".into(),
            time: String::new(),
            phase: Phase::Walk,
            given: format!("{value} A"),
            quantity: None,
            expected: None,
            tolerance: None,
            verdict: Some("low".into()),
            probability: None,
            instrument: None,
            uncertainty: None,
            place: None,
            against: Some(Against { value, low, high, expected, uncertainty: 0.1, unit, reference: None }),
            from_log: None,
            asked: true,
            not_tested: false,
            correction: false,
        }
    }

    #[test]
    fn whatever_is_drawn_of_a_band_lies_within_the_drawing() {
        for (value, low, high, expected) in [
            (0.0, Some(0.5), None, Some(12.1)),
            (9.0, None, Some(0.5), Some(-3.0)),
            (12.0, Some(11.0), Some(13.0), Some(40.0)),
            (12.0, Some(11.0), Some(13.0), Some(-40.0)),
            (0.0, Some(11.0), Some(13.0), Some(12.0)),
            (0.0, Some(0.0), None, None),
        ] {
            let row = row(value, low, high, expected);
            let drawn = band(&row, row.against.as_ref().unwrap()).unwrap();
            let numbers = |name: &str| -> Vec<f64> {
                let mark = format!(" {name}=\"");
                let all = drawn.split(&mark).skip(1);
                all.map(|rest| rest.split('"').next().unwrap().parse().unwrap()).collect()
            };
            let wants = drawn.matches("class=\"want\"").count();
            assert_eq!(wants, usize::from(expected.is_some()), "{drawn}");
            let needle = drawn.split("<path d=\"M").nth(1).unwrap().split(' ').next().unwrap();
            let all = [numbers("x1"), numbers("x2"), numbers("x"), vec![needle.parse().unwrap()]].concat();
            assert!(all.len() >= 6 + 2 * wants, "{drawn}");
            assert!(all.iter().all(|x| (4.0..=236.0).contains(x)), "{all:?}");
        }
        let none = row(1.0, None, None, None);
        assert_eq!(band(&none, none.against.as_ref().unwrap()), None);
    }

    #[test]
    fn conditions_that_lie_on_one_another_are_told_apart_in_words() {
        let points = |at: &[f64]| -> Vec<SlopePoint> {
            let point = |(n, &at_kpa): (usize, &f64)| SlopePoint {
                condition: format!("condition {n}"),
                at_kpa,
                at_measured: true,
                rail_kpa: 400.0,
                right_kpa: 400.0,
            };
            at.iter().enumerate().map(point).collect()
        };
        for at in [&[45.0, 100.6, 100.6, 100.6][..], &[36.0, 36.5, 45.0, 100.0, 100.5], &[40.0, 90.0]] {
            let slope_of =
                Slope { along: "manifold pressure".into(), right: 0.0, measured: None, points: points(at) };
            let drawn = slope(&slope_of, crate::quantity::unit("kPa").unwrap());
            let mut told: Vec<(f64, f64)> = Vec::new();
            for words in drawn.split("<text ").filter(|w| w.contains(">condition ")) {
                let number = |name: &str| {
                    words.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap()
                };
                told.push((number("x").parse().unwrap(), number("y").parse().unwrap()));
            }
            assert_eq!(told.len(), at.len());
            for (n, a) in told.iter().enumerate() {
                assert!((0.0..190.0).contains(&a.1), "{told:?}");
                let over = |b: &&(f64, f64)| (a.0 - b.0).abs() < 50.0 && (a.1 - b.1).abs() < 8.0;
                assert_eq!(told[n + 1..].iter().find(over), None, "{told:?}");
            }
        }
    }
}
