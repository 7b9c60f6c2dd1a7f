//! Draws the model: a line at the top, the sheet of the screen, a message and the keys at the foot.

use super::actions::Action;
use super::desk::{Asks, Prompt};
use super::keys::Key;
use super::model::{LEAST, Model, Screen, Tone};
use super::screens::{self, Layout, NARROW};
use super::sheet::{Sheet, cut, pad, wrap};
use super::theme::Role;
use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::layout::{Position, Rect};
use ratatui::text::{Line, Span};
use unicode_width::UnicodeWidthStr;

/// Most lines a message takes at the foot.
const MESSAGE_LINES: usize = 4;
/// From so many rows on the keys may take more than one line.
const KEY_LINES_FROM: u16 = 16;

/// Draws the whole screen; changes nothing.
pub fn view(model: &Model, frame: &mut Frame) {
    let area = frame.area();
    let cursor = draw(model, area, frame.buffer_mut());
    if let Some((x, y)) = cursor {
        frame.set_cursor_position(Position { x, y });
    }
}

/// Draws into a buffer; gives back where the cursor stands.
pub fn draw(model: &Model, area: Rect, buffer: &mut Buffer) -> Option<(u16, u16)> {
    let cursor = if area.width < LEAST.0 || area.height < LEAST.1 {
        too_small(model, area, buffer);
        None
    } else {
        draw_screen(model, area, buffer)
    };
    model.look.purify(buffer);
    cursor
}

fn too_small(model: &Model, area: Rect, buffer: &mut Buffer) {
    let mut sheet = Sheet::new(model.look, usize::from(area.width));
    let text = format!(
        "{} by {} is too small. Make it {} by {} or more. Everything is kept. Ctrl-C leaves.",
        area.width, area.height, LEAST.0, LEAST.1
    );
    sheet.text(Role::Strong, &text);
    sheet.draw(0, area, buffer);
}

fn draw_screen(model: &Model, area: Rect, buffer: &mut Buffer) -> Option<(u16, u16)> {
    let width = usize::from(area.width);
    buffer.set_line(area.x, area.y, &header(model, width), area.width);
    let foot = foot(model, width);
    let foot_height = u16::try_from(foot.len()).unwrap_or(u16::MAX).min(area.height - 1);
    let body = Rect { y: area.y + 1, height: area.height - 1 - foot_height, ..area };
    for (line, y) in foot.iter().zip(body.bottom()..area.bottom()) {
        buffer.set_line(area.x, y, line, area.width);
    }
    let laid = screens::layout(model, body.width, body.height);
    let (main, rows) = place(&laid, body, buffer);
    let first = first_row(model, &laid.main, rows);
    let (first, shown) = clear_of_signs(&laid.main, first, main);
    let cursor = laid.main.draw(first, shown, buffer);
    more(model, &laid.main, (first, usize::from(shown.height)), main, buffer);
    cursor
}

/// Draws what stands above and beside the main sheet; gives back the main sheet's area.
fn place(laid: &Layout, body: Rect, buffer: &mut Buffer) -> (Rect, usize) {
    let mut main = body;
    if let Some(top) = &laid.top {
        let height = u16::try_from(top.lines.len()).unwrap_or(u16::MAX).min(body.height / 2);
        top.draw(0, Rect { height, ..body }, buffer);
        main.y += height;
        main.height -= height;
    }
    if let Some(side) = &laid.side {
        let left = u16::try_from(laid.main.width).unwrap_or(u16::MAX).min(main.width);
        let gap = 3.min(main.width - left);
        let area = Rect { x: main.x + left + gap, width: main.width - left - gap, ..main };
        side.draw(0, area, buffer);
        main.width = left;
    }
    (main, usize::from(main.height))
}

fn first_row(model: &Model, sheet: &Sheet, rows: usize) -> usize {
    match model.scroll {
        Some(row) => row.min(sheet.lines.len().saturating_sub(rows)),
        None => sheet.first_row(0, rows),
    }
}

/// Columns the sign takes that says that there is more.
const MORE: usize = 7;
/// From so many rows on a row may be given up for such a sign.
const ROWS_TO_SPARE: u16 = 6;

/// The first row drawn and where: a row whose end a sign would cover gives its place up to the sign, and is one to scroll to.
fn clear_of_signs(sheet: &Sheet, first: usize, area: Rect) -> (usize, Rect) {
    let room = usize::from(area.width).saturating_sub(MORE);
    let covers = |row: usize| sheet.lines.get(row).is_some_and(|line| line.width() > room);
    let (mut first, mut shown) = (first, area);
    if area.height < ROWS_TO_SPARE {
        return (first, shown);
    }
    if first > 0 && covers(first) {
        first += 1;
        shown = Rect { y: shown.y + 1, height: shown.height - 1, ..shown };
    }
    let after = first + usize::from(shown.height);
    if after < sheet.lines.len() && covers(after - 1) {
        shown.height -= 1;
    }
    (first, shown)
}

/// Says that there is more above or below, at the right edge.
fn more(model: &Model, sheet: &Sheet, (first, rows): (usize, usize), area: Rect, buffer: &mut Buffer) {
    let style = model.look.style(Role::Muted);
    let mut sign = |text: &str, y: u16| {
        let size = u16::try_from(text.width()).unwrap_or(u16::MAX);
        if area.height > 2 && size < area.width {
            buffer.set_string(area.right() - size, y, text, style);
        }
    };
    if first > 0 {
        sign(if model.look.ascii { " ^ PgUp" } else { " ↑ PgUp" }, area.top());
    }
    if first + rows < sheet.lines.len() {
        sign(if model.look.ascii { " v PgDn" } else { " ↓ PgDn" }, area.bottom() - 1);
    }
}

/// Scrolls where the key scrolls; `false` when it is for the screen itself.
pub fn scroll(model: &mut Model, key: Key) -> bool {
    let free_arrows = model.menu.is_none()
        && match (&model.screen, &model.prompt) {
            (Screen::Case, _) if model.caution_due().is_some() => true,
            (Screen::Case, Prompt::Step(step)) => !matches!(step.asks, Asks::Pick(_)),
            (Screen::Lesson { view, .. }, _) => {
                let over = model.lesson.as_ref().is_some_and(|l| l.over);
                over || *view == super::model::LessonView::Record
            }
            (Screen::Page { .. } | Screen::Leak, _)
            | (Screen::Case, Prompt::Handover { .. } | Prompt::Leak | Prompt::Paused | Prompt::Broken(_)) => {
                true
            }
            _ => false,
        };
    let page_only = matches!(model.screen, Screen::Page { .. });
    if let Screen::Car(car) = &model.screen
        && model.menu.is_none()
        && !car.drawing
        && car.editing.is_none()
    {
        // Among many facts paging goes by groups, with the row the keys act on.
        return false;
    }
    match key {
        Key::PageUp | Key::PageDown => {}
        Key::Up | Key::Down if free_arrows => {}
        Key::Home | Key::End if page_only && model.menu.is_none() => {}
        _ => return false,
    }
    let (columns, rows) = model.size;
    let foot = u16::try_from(foot(model, usize::from(columns)).len()).unwrap_or(0);
    let height = rows.saturating_sub(1 + foot);
    let laid = screens::layout(model, columns, height);
    let top = laid.top.as_ref().map_or(0, |t| t.lines.len().min(usize::from(height / 2)));
    let visible = usize::from(height).saturating_sub(top);
    let first = first_row(model, &laid.main, visible);
    let page = visible.saturating_sub(2).max(1);
    let last = laid.main.lines.len().saturating_sub(visible);
    model.scroll = Some(
        match key {
            Key::PageUp => first.saturating_sub(page),
            Key::PageDown => first + page,
            Key::Up => first.saturating_sub(1),
            Key::Home => 0,
            Key::End => last,
            _ => first + 1,
        }
        .min(last),
    );
    true
}

/// The actions that make sense now, in the order shown.
pub fn actions(model: &Model) -> Vec<Action> {
    let step = matches!(model.prompt, Prompt::Step(_));
    Action::ALL
        .into_iter()
        .filter(|a| model.head.is_some() || a.without_case())
        .filter(|a| step || !matches!(a, Action::Cannot | Action::Why))
        .filter(|a| *a != Action::Instrument || screens::reads(model))
        .filter(|a| *a != Action::Elsewhere || model.head.as_ref().is_some_and(|h| h.stranded))
        .filter(|a| *a != Action::Next || model.opened.iter().any(|id| Some(id) != model.here.as_ref()))
        .collect()
}

fn header(model: &Model, width: usize) -> Line<'static> {
    let look = model.look;
    let dot = if look.ascii { " - " } else { " · " };
    let (left, right, marked) = match &model.head {
        Some(head) => {
            let mut facts = Vec::new();
            if head.simulated {
                facts.push("SIMULATED".to_owned());
            }
            facts.push(head.car.clone());
            if !head.complaint.is_empty() {
                facts.push(head.complaint.clone());
            }
            facts.extend(head.facts.iter().cloned());
            let kept = match (&head.read_only, &head.kept) {
                _ if head.stranded => "NOT KEPT: Esc G".to_owned(),
                (Some(_), _) => "read only".to_owned(),
                (None, Some(at)) => format!("kept {at}"),
                (None, None) => "not kept".to_owned(),
            };
            let here = model.here.as_ref().and_then(|id| model.opened.iter().position(|o| o == id));
            let kept = match here {
                Some(at) if model.opened.len() > 1 => {
                    format!("case {} of {}{dot}{kept}", at + 1, model.opened.len())
                }
                _ => kept,
            };
            // The facts give way before the car and the complaint do.
            let room = width.saturating_sub(kept.width() + 4);
            let least = 1 + usize::from(head.simulated) + usize::from(!head.complaint.is_empty());
            while facts.len() > least && facts.join(dot).width() > room {
                facts.pop();
            }
            (facts.join(dot), kept, head.simulated)
        }
        None => match &model.lesson {
            Some(lesson) => (format!("SIMULATED{dot}{}", lesson.about), lesson.minutes.clone(), true),
            None => ("faultwalk".to_owned(), String::new(), false),
        },
    };
    let room = width.saturating_sub(right.width() + 3);
    let left = cut_at_word(&look.text(&left), room);
    let role = if marked { Role::Outside } else { Role::Strong };
    Line::from(vec![
        Span::styled(format!(" {}", pad(&left, room + 1)), look.style(role)),
        Span::styled(look.text(&right), look.style(Role::Muted)),
    ])
}

/// Cut to `width` columns behind a whole word, with a sign that more was said; within a word only where there is no other.
fn cut_at_word(text: &str, width: usize) -> String {
    /// Stands for what was cut off.
    const MORE: &str = " ..";
    if text.width() <= width {
        return text.to_owned();
    }
    let kept = cut(text, width.saturating_sub(MORE.len()));
    let whole = if text[kept.len()..].starts_with(' ') {
        Some(kept.as_str())
    } else {
        kept.rsplit_once(' ').map(|(w, _)| w)
    };
    match whole.map(|w| w.trim_end_matches([' ', '·', '-'])) {
        Some(words) if !words.is_empty() => format!("{words}{MORE}"),
        _ => cut(text, width),
    }
}

/// The lines at the foot: what is to be said, and the keys.
fn foot(model: &Model, width: usize) -> Vec<Line<'static>> {
    let look = model.look;
    let mut lines = Vec::new();
    if model.leaving {
        let text = "Leave? Everything is kept. Enter leaves, any other key stays.";
        lines.extend(wrap(text, width).into_iter().map(|l| Line::styled(l, look.style(Role::Strong))));
        return lines;
    }
    if let Some((tone, text)) = &model.message {
        let (sign, role) = match tone {
            Tone::Said => ("*", Role::Within),
            Tone::Refused => ("!", Role::Error),
        };
        let mut sheet = Sheet::new(look, width);
        sheet.item(sign, role, text);
        lines.extend(sheet.lines.into_iter().take(MESSAGE_LINES));
    }
    lines.extend(keys(model, width));
    lines
}

/// The keys: up to two lines, three on a narrow screen, where there are the rows for it.
fn keys(model: &Model, width: usize) -> Vec<Line<'static>> {
    let look = model.look;
    let narrow = width < usize::from(NARROW);
    let most = match (model.size.1 >= KEY_LINES_FROM, narrow) {
        (true, true) => 3,
        (true, false) => 2,
        (false, _) => 1,
    };
    let between = if narrow { 2 } else { 3 };
    let mut lines = Vec::new();
    let mut spans = Vec::new();
    let mut used = 0;
    for (key, what) in screens::hints(model) {
        let size = key.width() + 1 + what.width();
        if used > 0 && used + between + size > width {
            if lines.len() + 1 >= most {
                break;
            }
            lines.push(Line::from(std::mem::take(&mut spans)));
            used = 0;
        }
        let gap = if used == 0 { 1 } else { between };
        if gap + size > width {
            break;
        }
        used += gap + size;
        spans.push(Span::raw(" ".repeat(gap)));
        spans.push(Span::styled(look.text(key), look.style(Role::Strong)));
        spans.push(Span::styled(format!(" {}", look.text(what)), look.style(Role::Muted)));
    }
    lines.push(Line::from(spans));
    lines
}
