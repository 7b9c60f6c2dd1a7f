//! One complaint about a file: what, where, why, and what to do.

use serde::Serialize;

/// How grave a complaint is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// The file is refused.
    Error,
    /// The file is taken; a person should look.
    Warning,
    /// For information.
    Note,
}

impl Level {
    /// The word shown.
    pub fn id(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// One complaint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// The rule broken, such as `dangling-target`.
    pub rule: &'static str,
    /// How grave.
    pub level: Level,
    /// The file's name.
    pub file: String,
    /// Line, from 1; 0 where the complaint concerns the whole file.
    pub line: usize,
    /// Column in characters, from 1; 0 where the complaint concerns the whole file.
    pub column: usize,
    /// What was found, and what was expected.
    pub message: String,
    /// Why that is wrong.
    pub why: Option<String>,
    /// What to do.
    pub hint: Option<String>,
    /// The source line, without its end.
    pub excerpt: Option<String>,
    /// How many characters from `column` the complaint concerns; 0 marks one place.
    pub length: usize,
}

/// `diagnostics` as text for people, one after the other, without colour.
pub fn render_all(diagnostics: &[Diagnostic]) -> String {
    diagnostics.iter().map(|d| render(d, false)).collect::<Vec<_>>().join("\n")
}

/// `diagnostic` as text for people: title, place, excerpt with the place marked, why and what to do.
pub fn render(diagnostic: &Diagnostic, colour: bool) -> String {
    use annotate_snippets::{AnnotationKind, Level as Sign, Origin, Renderer, Snippet};
    let sign = match diagnostic.level {
        Level::Error => Sign::ERROR,
        Level::Warning => Sign::WARNING,
        Level::Note => Sign::NOTE,
    };
    let title = sign.primary_title(diagnostic.message.as_str()).id(diagnostic.rule);
    let mut group = match &diagnostic.excerpt {
        Some(excerpt) => {
            let at =
                |column: usize| excerpt.char_indices().nth(column).map_or(excerpt.len(), |(byte, _)| byte);
            let from = diagnostic.column.saturating_sub(1);
            let (start, end) = (at(from), at(from + diagnostic.length.max(1)));
            title.element(
                Snippet::source(excerpt.as_str())
                    .line_start(diagnostic.line.max(1))
                    .path(diagnostic.file.as_str())
                    .annotation(AnnotationKind::Primary.span(start..end)),
            )
        }
        None => title.element(Origin::path(diagnostic.file.as_str())),
    };
    if let Some(why) = &diagnostic.why {
        group = group.element(Sign::NOTE.message(why.as_str()));
    }
    if let Some(hint) = &diagnostic.hint {
        group = group.element(Sign::HELP.message(hint.as_str()));
    }
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let mut text = renderer.render(&[group]);
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_complaint_shows_rule_place_line_reason_and_remedy() {
        let text = render(
            &Diagnostic {
                rule: "dangling-target",
                level: Level::Error,
                file: "trees/a.yaml".to_owned(),
                line: 7,
                column: 11,
                message: "'suply' is no step".to_owned(),
                why: Some("a walk would stop there".to_owned()),
                hint: Some("did you mean 'supply'?".to_owned()),
                excerpt: Some("    next: suply".to_owned()),
                length: 5,
            },
            false,
        );
        for part in [
            "dangling-target",
            "trees/a.yaml:7:11",
            "    next: suply",
            "^^^^^",
            "a walk would",
            "did you mean",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
    }
}
