//! How findings are written as JSON, and read back: the words people read, with a code for programs beside each that is a phrase.
//!
//! Words that are one plain token (`rule-out`, `applies`, `statute`) are their own code.

use crate::finding::{DepartureStatus, Happened, Verdict};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

/// Declares how a word and its code are written side by side, to be flattened into what they belong to.
macro_rules! beside {
    ($module:ident, $type:ty, $word:literal, $code:literal) => {
        pub(crate) mod $module {
            use super::*;

            #[derive(Serialize, Deserialize)]
            struct Pair {
                #[serde(rename = $word)]
                word: $type,
                #[serde(rename = $code)]
                code: String,
            }

            pub(crate) fn serialize<S: Serializer>(word: &$type, serializer: S) -> Result<S::Ok, S::Error> {
                Pair { word: *word, code: word.code() }.serialize(serializer)
            }

            pub(crate) fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<$type, D::Error> {
                let Pair { word, code } = Pair::deserialize(deserializer)?;
                if word.code() == code { Ok(word) } else { Err(D::Error::custom(format!("`{word}` does not go with the code `{code}`"))) }
            }
        }
    };
}

beside!(verdict, Verdict, "verdict", "verdict_code");
beside!(departure, DepartureStatus, "status", "status_code");
beside!(happened, Happened, "how", "how_code");

/// The verdict once released, with its code, where there is one.
pub(crate) mod released {
    use super::{Deserialize, Deserializer, Serialize, Serializer, Verdict};

    #[derive(Serialize, Deserialize)]
    struct Pair {
        #[serde(default, skip_serializing_if = "Option::is_none")]
        once_released: Option<Verdict>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        once_released_code: Option<String>,
    }

    #[expect(clippy::ref_option, clippy::trivially_copy_pass_by_ref, reason = "serde asks for this shape")]
    pub(crate) fn serialize<S: Serializer>(verdict: &Option<Verdict>, serializer: S) -> Result<S::Ok, S::Error> {
        Pair { once_released: *verdict, once_released_code: verdict.map(Verdict::code) }.serialize(serializer)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Verdict>, D::Error> {
        Ok(Pair::deserialize(deserializer)?.once_released)
    }
}
