//! Colours by meaning, for dark and light grounds, true colour, the terminal's own sixteen, or none.
//!
//! What is expected is blue, what is not is orange; both always come with a word and a sign, because colour may be missing.
//! The signal words have the grounds of ANSI Z535.1 (red, orange, yellow, blue). Contrast is computed in the tests, not
//! judged by eye.

use crate::terms::SignalWord;
use ratatui::style::{Color, Modifier, Style};

/// How many colours the terminal is taken to have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Depth {
    /// No colour at all; weight and signs carry everything.
    None,
    /// The terminal's own sixteen.
    #[default]
    Sixteen,
    /// 24 bits.
    True,
}

/// What the terminal's ground is taken to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// Light text on dark.
    #[default]
    Dark,
    /// Dark text on light.
    Light,
}

/// What a piece of text is, as far as its look goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Role {
    /// Ordinary text.
    #[default]
    Text,
    /// What matters most on the screen.
    Strong,
    /// What may be passed over.
    Muted,
    /// In its band, cleared, in order.
    Within,
    /// Out of its band, likely at fault.
    Outside,
    /// Neither: undecided, not tested, doubtful.
    Open,
    /// The line or field the keys act on; always drawn with a sign too.
    Focus,
    /// An error text.
    Error,
    /// A signal word on its ground.
    Signal(SignalWord),
}

impl Role {
    /// Every role, for tests.
    pub const ALL: [Self; 12] = [
        Self::Text,
        Self::Strong,
        Self::Muted,
        Self::Within,
        Self::Outside,
        Self::Open,
        Self::Focus,
        Self::Error,
        Self::Signal(SignalWord::Danger),
        Self::Signal(SignalWord::Warning),
        Self::Signal(SignalWord::Caution),
        Self::Signal(SignalWord::Notice),
    ];
}

/// The colours in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Theme {
    /// How many colours.
    pub depth: Depth,
    /// On what ground.
    pub ground: Ground,
}

const fn rgb(hex: u32) -> Color {
    let [_, red, green, blue] = hex.to_be_bytes();
    Color::Rgb(red, green, blue)
}

impl Theme {
    /// The theme the surroundings ask for. `lookup` gives the value of an environment variable.
    ///
    /// `NO_COLOR` (set and not empty) and `TERM=dumb` take all colour away; `COLORTERM` of `truecolor` or `24bit` gives 24 bits;
    /// a last field of `COLORFGBG` from 7 up, 8 aside, means a light ground. Nothing is asked of the terminal.
    pub fn detect(lookup: impl Fn(&str) -> Option<String>) -> Self {
        let set = |name: &str| lookup(name).filter(|v| !v.is_empty());
        let depth = if set("NO_COLOR").is_some() || set("TERM").is_some_and(|t| t == "dumb") {
            Depth::None
        } else if set("COLORTERM").is_some_and(|c| c == "truecolor" || c == "24bit") {
            Depth::True
        } else {
            Depth::Sixteen
        };
        let behind = set("COLORFGBG").and_then(|c| c.rsplit(';').next().and_then(|n| n.parse::<u8>().ok()));
        let ground = match behind {
            Some(7 | 9..=15) => Ground::Light,
            _ => Ground::Dark,
        };
        Self { depth, ground }
    }

    /// The style of a role.
    pub fn style(self, role: Role) -> Style {
        let style = Style::new().add_modifier(Self::weight(role));
        let (fore, back) = match self.depth {
            Depth::None => (None, None),
            Depth::Sixteen => self.sixteen(role),
            Depth::True => self.full(role),
        };
        let style = fore.map_or(style, |c| style.fg(c));
        back.map_or(style, |c| style.bg(c))
    }

    fn weight(role: Role) -> Modifier {
        match role {
            Role::Strong | Role::Outside | Role::Focus | Role::Error | Role::Signal(_) => Modifier::BOLD,
            _ => Modifier::empty(),
        }
    }

    fn sixteen(self, role: Role) -> (Option<Color>, Option<Color>) {
        let pick = |dark, light| Some(if self.ground == Ground::Dark { dark } else { light });
        match role {
            Role::Text | Role::Strong => (None, None),
            Role::Muted | Role::Open => {
                (if self.ground == Ground::Dark { Some(Color::Gray) } else { None }, None)
            }
            Role::Within | Role::Focus => (pick(Color::Cyan, Color::Blue), None),
            Role::Outside => (pick(Color::Yellow, Color::Red), None),
            Role::Error => (pick(Color::LightYellow, Color::Red), None),
            Role::Signal(SignalWord::Danger) => (Some(Color::White), Some(Color::Red)),
            Role::Signal(SignalWord::Warning | SignalWord::Caution) => {
                (Some(Color::Black), Some(Color::Yellow))
            }
            Role::Signal(SignalWord::Notice) => (Some(Color::White), Some(Color::Blue)),
        }
    }

    fn full(self, role: Role) -> (Option<Color>, Option<Color>) {
        let pick = |dark, light| Some(rgb(if self.ground == Ground::Dark { dark } else { light }));
        match role {
            Role::Text | Role::Strong => (None, None),
            Role::Muted => (pick(0x00A8_B0B8, 0x0050_565C), None),
            Role::Within | Role::Focus => (pick(0x006C_B8F0, 0x0000_4F9E), None),
            Role::Outside => (pick(0x00F5_A04A, 0x009A_3D00), None),
            Role::Error => (pick(0x00FF_B56B, 0x008F_3300), None),
            Role::Open => (pick(0x00D6_D0C0, 0x004A_4434), None),
            Role::Signal(SignalWord::Danger) => (Some(rgb(0x00FF_FFFF)), Some(rgb(0x00B5_1224))),
            Role::Signal(SignalWord::Warning) => (Some(rgb(0x0000_0000)), Some(rgb(0x00F0_8020))),
            Role::Signal(SignalWord::Caution) => (Some(rgb(0x0000_0000)), Some(rgb(0x00F7_D117))),
            Role::Signal(SignalWord::Notice) => (Some(rgb(0x00FF_FFFF)), Some(rgb(0x0000_4A99))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sixteen colours as xterm draws them by default (XTerm-col.ad, from memory), the dimmest common table.
    fn drawn(color: Color) -> (u8, u8, u8) {
        match color {
            Color::Rgb(r, g, b) => (r, g, b),
            Color::Black => (0, 0, 0),
            Color::Red => (205, 0, 0),
            Color::Yellow => (205, 205, 0),
            Color::Blue => (0, 0, 238),
            Color::Cyan => (0, 205, 205),
            Color::Gray => (229, 229, 229),
            Color::LightYellow => (255, 255, 0),
            Color::White => (255, 255, 255),
            other => panic!("no theme uses {other}"),
        }
    }

    /// Relative luminance and contrast after WCAG 2.2, definitions "relative luminance" and "contrast ratio".
    fn luminance((r, g, b): (u8, u8, u8)) -> f64 {
        let linear = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
    }

    fn contrast(a: (u8, u8, u8), b: (u8, u8, u8)) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn contrast_is_that_of_the_standard() {
        assert!((contrast((0, 0, 0), (255, 255, 255)) - 21.0).abs() < 1e-9);
        // Okabe-Ito orange on black, 9.3 after the notes on terminals.
        assert!((contrast((230, 159, 0), (0, 0, 0)) - 9.3).abs() < 0.1);
    }

    #[test]
    fn text_stands_out_at_least_4_5_to_1_on_its_ground() {
        let grounds = |g| match g {
            Ground::Dark => [(0, 0, 0), (30, 30, 30)],
            Ground::Light => [(255, 255, 255), (245, 245, 240)],
        };
        for depth in [Depth::Sixteen, Depth::True] {
            for ground in [Ground::Dark, Ground::Light] {
                for role in Role::ALL {
                    let style = Theme { depth, ground }.style(role);
                    let Some(fore) = style.fg else { continue };
                    let on = style.bg.map_or(grounds(ground), |b| [drawn(b); 2]);
                    for back in on {
                        let ratio = contrast(drawn(fore), back);
                        assert!(ratio >= 4.5, "{depth:?} {ground:?} {role:?}: {ratio:.2}");
                    }
                }
            }
        }
    }

    #[test]
    fn without_colour_no_role_has_any() {
        for role in Role::ALL {
            let style = Theme { depth: Depth::None, ground: Ground::Dark }.style(role);
            assert_eq!((style.fg, style.bg), (None, None));
        }
    }

    #[test]
    fn the_surroundings_decide() {
        let of = |vars: &[(&str, &str)]| {
            Theme::detect(|n| vars.iter().find(|(k, _)| *k == n).map(|(_, v)| (*v).to_owned()))
        };
        assert_eq!(of(&[("NO_COLOR", "1"), ("COLORTERM", "truecolor")]).depth, Depth::None);
        assert_eq!(of(&[("NO_COLOR", "")]).depth, Depth::Sixteen);
        assert_eq!(of(&[("TERM", "dumb")]).depth, Depth::None);
        assert_eq!(of(&[("COLORTERM", "24bit")]).depth, Depth::True);
        assert_eq!(of(&[("COLORFGBG", "0;15")]).ground, Ground::Light);
        assert_eq!(of(&[("COLORFGBG", "15;default;0")]).ground, Ground::Dark);
        assert_eq!(of(&[]), Theme::default());
    }
}
