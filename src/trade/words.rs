//! Closed lists of words that stand in files and on screens: each list is declared once, with the word it is written
//! as, and can be read back with the nearest known word suggested.

/// Declares an enum whose values are words: `as_str`, `ALL`, `parse` (a sentence on failure), `Display` and serde.
macro_rules! words {
    ($(#[$meta:meta])* pub enum $name:ident ($what:literal) { $($(#[$vmeta:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vmeta])* $variant,)+ }

        impl $name {
            /// Every value, in declared order.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];

            /// The word as it stands in files and on screens.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }

            /// Reads the word.
            ///
            /// # Errors
            /// A sentence that names the nearest known word, or all of them.
            pub fn parse(text: &str) -> Result<Self, String> {
                match text {
                    $($word => Ok(Self::$variant),)+
                    other => Err($crate::trade::words::unknown($what, other, &[$($word,)+])),
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.as_str())
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.as_str())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = <std::borrow::Cow<'de, str>>::deserialize(deserializer)?;
                Self::parse(&text).map_err(serde::de::Error::custom)
            }
        }
    };
}
pub(crate) use words;

/// The longest list that a sentence names whole.
const MOST_NAMED: usize = 24;

/// The sentence for a word that is not in a list.
#[must_use]
pub fn unknown(what: &str, word: &str, known: &[&str]) -> String {
    let shown: String = crate::diag::plain(word).chars().take(40).collect();
    match crate::diag::nearest(word, known.iter().copied()) {
        Some(near) => format!("'{shown}' is no {what}; did you mean '{near}'?"),
        None if known.len() > MOST_NAMED => {
            format!("'{shown}' is no {what}, and none of the {} is like it", known.len())
        }
        None => format!("'{shown}' is no {what}; known: {}", known.join(", ")),
    }
}
