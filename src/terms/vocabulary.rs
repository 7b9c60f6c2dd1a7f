//! One macro for every closed list of ids, so that all of them parse, print and miss alike.

use std::fmt;

/// An id that is in no list, with the nearest one that is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownTerm {
    /// What kind of term was expected, in words.
    pub kind: &'static str,
    /// What was found.
    pub found: String,
    /// The nearest id of that kind, if any is near.
    pub near: Option<&'static str>,
}

impl fmt::Display for UnknownTerm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "'{}' is no {}", self.found, self.kind)?;
        match self.near {
            Some(near) => write!(f, "; did you mean '{near}'?"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for UnknownTerm {}

/// The id among `ids` nearest to `found`: at most a third of its length away, counted in edits.
pub fn nearest<'a>(found: &str, ids: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let most = (found.chars().count() / 3).max(1);
    ids.into_iter().map(|id| (edits(found, id), id)).filter(|(d, _)| *d <= most).min().map(|(_, id)| id)
}

/// Edits (insert, delete, replace, swap of neighbours) between two short texts.
fn edits(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            rows[i][j] = if i == 0 || j == 0 {
                i + j
            } else {
                let mut least = (rows[i - 1][j] + 1)
                    .min(rows[i][j - 1] + 1)
                    .min(rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]));
                if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                    least = least.min(rows[i - 2][j - 2] + 1);
                }
                least
            };
        }
    }
    rows[a.len()][b.len()]
}

/// A closed list of ids: an enum with `ALL`, `id`, `FromStr`, `Display`, serde by id and a JSON schema.
macro_rules! vocabulary {
    ($(#[$meta:meta])* $name:ident, $kind:literal { $($(#[$vmeta:meta])* $variant:ident = $id:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[$vmeta])* #[doc = concat!("`", $id, "`")] $variant,)+
        }

        impl $name {
            /// Every one, in the order of the list.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The stable id, as trees and files write it.
            pub fn id(self) -> &'static str {
                match self { $(Self::$variant => $id),+ }
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::terms::UnknownTerm;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                match text {
                    $($id => Ok(Self::$variant),)+
                    _ => Err($crate::terms::UnknownTerm {
                        kind: $kind,
                        found: text.to_owned(),
                        near: $crate::terms::nearest(text, [$($id),+]),
                    }),
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.id())
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(self.id())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let text = std::borrow::Cow::<str>::deserialize(from)?;
                text.parse().map_err(serde::de::Error::custom)
            }
        }

        impl schemars::JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!({ "type": "string", "enum": [$($id),+] })
            }
        }
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_near_miss_is_offered_and_a_far_one_is_not() {
        assert_eq!(nearest("pump-wron", ["pump-worn", "pump-seized"]), Some("pump-worn"));
        assert_eq!(nearest("aquarium", ["pump-worn", "pump-seized"]), None);
    }
}
