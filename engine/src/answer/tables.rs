//! General English: number words, yes and no, doubt, and the small words between. What the words of the trade mean
//! stands in packs.

use super::token::{Kind, Token};
use crate::quantity::{Unit, find_unit};
use std::collections::BTreeSet;
use std::sync::OnceLock;

/// What a word of general English does in an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// Yes; whether surely.
    Yes(bool),
    /// No; whether surely. May also deny what follows.
    No(bool),
    /// Denies what follows.
    Not,
    /// The speaker is not sure.
    Doubt,
    /// The speaker does not know; `true` where nothing said beside it is to be taken either.
    Unknown(bool),
    /// One or the other.
    Or,
    /// Both.
    And,
    /// A turn: denial ends here.
    But,
    /// What stands before lies over what follows.
    Over,
    /// Likewise, and also plain "on".
    On,
    /// What stands before lies on top of all.
    OnTop,
    /// What stands before lies under what follows, or under what was named before.
    Under,
    /// What stands before lies under what was named before.
    Beneath,
    /// What follows comes next.
    Then,
    /// What stands before came first, at the bottom.
    First,
    /// What follows is near.
    Near,
    /// Nothing else.
    Just,
    /// There is, we have: what follows is so.
    Have,
    /// It is: what follows directly is so.
    Is,
    /// Nothing at all.
    Nothing,
    /// One of the two just asked about, which is to say not known; beside a list it says nothing.
    Either,
    /// What stands before is asked about, and answered behind: the colon of "lead: no".
    Asks,
    /// Says nothing.
    Filler,
    /// Says something that no fact takes in: where, when, how far. Nothing is made of it, but what would ask for less care is
    /// not taken for certain beside it.
    Aside,
    /// Somebody says so, who is not here.
    Hearsay,
    /// Not so far: no proof that it will not be.
    NotYet,
}

/// Words and what they do. Longer ones are tried first.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static ROLES: &[(Role, &[&str])] = &[
    (Role::Yes(true), &["yes", "yep", "yeah", "yup", "aye", "yes there is", "yes there are", "yes it is", "yes they do", "yes it has", "y",
     "true", "correct", "that's right", "that is right", "right", "indeed", "of course", "sure", "definitely", "certainly", "absolutely",
     "afraid so", "i'm afraid so", "it is", "it does", "it has", "it will", "it will be", "there is", "there are", "they do", "they are",
     "they will", "we do", "we will", "we are", "he does", "she does", "i do", "i will", "ok", "okay", "already done", "for sure",
     "no doubt"]),
    (Role::Yes(false), &["probably", "i think so", "think so", "i believe so", "i guess so", "i'd say so", "most likely", "likely",
     "sometimes", "now and then", "looks like it", "more or less", "i suppose so", "yes i think", "pretty sure"]),
    (Role::No(true), &["no", "nope", "nah", "n", "false", "no it isn't", "no there isn't", "no there aren't", "it isn't", "it is not",
     "it's not", "it doesn't", "it does not", "it hasn't", "it won't", "it won't be", "there isn't", "there aren't", "there is not",
     "there are not", "there's not", "they don't", "they aren't", "they won't", "we don't", "we won't", "we aren't", "he doesn't",
     "she doesn't", "i don't", "i won't", "afraid not", "i'm afraid not", "certainly not", "definitely not", "of course not", "not at all",
     "no way", "never", "not any more", "no longer", "none there", "nobody", "no one"]),
    (Role::No(false), &["not exactly", "not quite", "not entirely", "not altogether", "not strictly", "probably not", "i don't think so", "don't think so", "i think not", "i doubt", "doubt", "i doubt there is", "i doubt there's", "i doubt if there is", "i doubt it is", "i doubt it's", "i doubt it", "doubt it", "not really",
     "not that i know", "not that i know of", "not as far as i know", "unlikely", "not likely", "hardly", "i shouldn't think so",
     "shouldn't think so", "shouldn't be", "shouldnt be", "it shouldn't be", "there shouldn't be", "shouldn't have", "shouldn't do", "oughtn't to be",
     "ought not to be", "wouldn't think so", "hope not", "i hope not", "let's hope not"]),
    (Role::Not, &["not", "isn't", "isnt", "aren't", "arent", "wasn't", "weren't", "without", "neither", "nor", "don't", "doesn't",
     "hasn't", "haven't", "hadn't", "didn't", "won't", "ain't", "no sign of", "no signs of", "free of", "anything but", "other than",
     "rather than", "there isn't any", "there aren't any", "there is no", "there are no", "there's no", "has no", "have no", "got no"]),
    (Role::Doubt, &["yeah right", "aye right", "not that", "far as i know", "as far as i know", "so far as i know", "as far as i can tell", "as far as i can see", "far as i can see", "far as i can tell", "as far as anyone knows",
     "far as anyone knows", "as far as we know", "far as we know", "as far as i'm aware", "as far as they know", "as far as he knows", "as far as she knows", "to my knowledge", "to the best of my knowledge", "for all i know", "not to my knowledge", "not been tested", "never been tested", "not been told",
     "ought to be", "supposed to be", "meant to be", "no chance", "i'd be surprised", "i would be surprised", "i'd have thought", "i would have thought", "wouldn't have thought", "wouldn't think", "shouldn't think", "almost certain", "almost certainly", "nearly certain", "pretty certain",
     "fairly certain", "pretty much", "as good as", "touch wood", "knock on wood", "knock wood", "god willing", "please god", "with luck", "with any luck", "so called", "so-called", "fingers crossed", "i'm told", "so i'm told", "i am told", "been told", "were told", "have been told", "seemingly", "evidently", "surely", "should have been", "must have been", "would have been", "will have been", "wants to be", "if i'm right", "couldn't swear to it", "can't swear to it", "wouldn't swear to it", "could not swear to it",
     "by word of mouth", "on his word", "on her word", "on their word", "untested", "nobody's tested", "nobodys tested", "nobody has tested", "nobody tested", "no one's tested", "no one has tested", "nobody's looked", "nobody has looked", "nobody looked", "nobodys looked", "nobody's checked", "nobodys checked", "nobody has checked", "looks like that",
     "by the looks", "from the look of it", "from the looks of it", "come to think", "come to think of it", "hope", "i hope", "we hope", "hopefully", "i think", "i think it's", "i think it is", "i believe", "i guess", "i reckon", "i suppose", "i imagine", "i assume",
     "i suspect", "i'd guess", "i'd say", "i would say", "may", "might", "could", "could be", "could even be", "could have been", "might be", "might even be",
     "may be", "maybe", "perhaps", "possibly", "presumably", "apparently", "supposedly", "allegedly", "by the look of it",
     "by the looks of it", "looks like", "look like", "looks to be", "seems", "seems to be", "seem to be", "appears to be", "sort of",
     "kind of", "guessing", "at a guess", "my guess", "my guess is", "if i remember right", "from memory", "i was told", "so they say", "so he says", "so she says",
     "we were told",     "can't be sure", "cannot be sure",
     "don't quote me", "must be", "should be", "unconfirmed", "to be confirmed", "or something", "or similar", "or something like that",
     "some kind of", "some sort of", "i am fairly sure", "i'm fairly sure", "fairly sure", "we think", "we believe", "we reckon",
     "we guess", "we suspect", "believe", "think", "reckon", "guess", "suspect", "assume"]),
    (Role::Unknown(true), &["no idea", "ask me later", "ask later", "come back to that", "come back to it", "i'll find out", "i will find out", "will find out", "need to ask", "need to check", "i'd have to ask", "i'd have to check", "have to ask", "have to check", "must ask", "dunno about", "don't know about", "no idea if", "no idea whether", "no idea about", "not a scooby", "couldn't tell ya", "who's to say", "i've no idea", "i have no idea", "not a clue", "no clue", "haven't a clue", "dunno", "don't know",
     "do not know", "i don't know", "i do not know", "we don't know", "nobody knows", "no one knows", "who knows", "couldn't say",
     "could not say", "can't say", "cannot say", "couldn't tell you", "can't tell", "cannot tell", "hard to say", "hard to tell",
     "haven't looked", "have not looked", "not looked", "didn't look", "haven't checked", "have not checked", "not checked",
     "didn't check", "haven't tested", "haven't measured", "not measured", "haven't asked", "unknown", "not known", "dk", "idk", "no info",
     "no information", "no record", "no records", "nothing known", "beats me", "search me", "god knows", "you tell me", "ask me another",
     "haven't found out", "to be found out", "tbc", "tbd", "n / a", "pass", "don't remember", "can't remember", "i forget", "never looked",
     "couldn't see", "can't see", "could not see", "could be anything", "anything", "wish i knew", "i wouldn't know", "wouldn't know",
     "don't know yet", "still to find out", "not found out"]),
    (Role::Either, &["either", "either one", "could be either", "might be either", "either of them", "could be both"]),
    (Role::Unknown(false), &["not sure", "i'm not sure", "i am not sure", "not so sure", "unsure", "not certain", "uncertain",
     "not sure which", "not sure what", "not sure if", "not sure whether", "can't say for sure", "can't swear to it", "undecided",
     "in doubt", "don't know for sure", "don't know exactly"]),
    (Role::Or, &["or", "or maybe", "or perhaps", "or possibly", "or else", "or it might be", "or it could be", "or even", "and / or",
     "if not"]),
    (Role::And, &["and", "&", "plus", "as well as", "along with", "together with", "and also", "also"]),
    (Role::But, &["but", "although", "though", "except", "however", "only that"]),
    (Role::Over, &["over", "on top of", "above", "over the top of", "covering", "laid over", "painted over", "put over", "over that"]),
    (Role::On, &["on", "onto", "upon"]),
    (Role::OnTop, &["on top", "on the top", "at the top", "uppermost", "outermost", "last of all", "the latest"]),
    (Role::Under, &["under", "beneath", "below", "underneath"]),
    (Role::Beneath, &["under it", "under that", "under this", "beneath it", "beneath that", "below it", "below that", "underneath it",
     "underneath that", "at the bottom", "at the very bottom", "on the bottom", "lowest", "lowermost", "deepest", "at the base"]),
    (Role::Then, &["then", "and then", "followed by", "next", "next comes", "after that", "then comes", "with underneath",
     "and under that", "and below that", "and under it", "and underneath"]),
    (Role::First, &["first", "at first", "originally", "to start with", "the first coat"]),
    (Role::Near, &["near", "near to", "next to", "beside", "by", "by the", "close to", "right by", "right next to", "alongside",
     "adjacent to", "adjoining", "against", "facing", "opposite", "around", "round", "nearby", "in front of", "right above", "right over",
     "directly over", "up against", "not far from", "surrounded by", "touching", "abutting", "between", "backs onto", "looks onto",
     "overlooking", "surroundings", "set in", "set into", "bedded in", "bedded into", "fixed to", "bolted to", "built into", "let into"]),
    (Role::Just, &["just", "only", "nothing but", "just the", "only the", "all", "just a", "just one coat of", "a single coat of",
     "one coat of", "nothing else", "nothing else on it", "that's all", "that is all"]),
    (Role::Have, &["have", "has", "we've", "we have", "we've got", "i've got", "i have", "have got", "has got", "got", "there's",
     "there is", "there are", "there will be", "there was", "there were", "with", "contains", "contain", "containing", "full of", "includes",
     "including", "will have", "we'll have", "will use", "we'll use", "using", "will be", "holds", "found", "they have", "they've got",
     "he has", "she has", "it has"]),
    (Role::Is, &["is", "are", "was", "were", "it's", "its", "it is", "they're", "they are", "that's", "being", "be", "been", "we're",
     "we are", "he's", "she's", "i'm"]),
    (Role::Nothing, &["nothing", "none", "none of them", "none of those", "none of these", "neither of them", "nothing near",
     "nothing nearby", "nothing there", "nothing like that", "none of that", "nothing at all", "not a thing", "nil", "no coats",
     "none at all", "nowhere"]),
    (Role::Filler, &["paint's", "a", "an", "the", "of", "to", "in", "at", "it", "this", "that", "these", "those", "there", "here", "we", "i", "they", "he", "she",
     "you", "my", "our", "their", "his", "her", "your", "well", "um", "uh", "er", "erm", "hmm", "oh", "ah", "so", "like", "really",
     "quite", "very", "rather", "fairly", "pretty", "actually", "basically", "honestly", "frankly", "mind", "mind you", "you know",
     "i mean", "let me see", "let's see", "please", "thanks", "thank you", "any", "for", "from", "into", "as", "also", "too",
     "still", "now", "all of it", "whole", "the whole", "sized", "made", "made of", "made from", "done", "thing", "things", "stuff", "one",
     "ones", "out", "up", "down", "off", "long", "wide", "high", "tall", "each", "every", "about it", "hi", "hello", "right then",
     "then again", "same", "such", "way", "am", "do", "does", "did", "will", "me", "us", "them", "him", "both", "even", "ever", "else",
     "etc", "etcetera", "and so on", "old", "older", "us too", "worth", "kinds", "kind", "sorts", "type", "called", "known as",
     "anyway", "i'd", "we'd", "it'd", "i'll", "we'll", "they'll", "let", "see", "coming", "put", "go", "goes", "going", "job", "work",
     "painted", "paint", "coated", "it was", "they were", "exactly", "precisely", "simply", "ordinary old", "approximately", "roughly",
     "size", "in size", "in total", "altogether", "total", "right down", "house is", "or so", "roughly speaking", "dark", "showed",
     "shows", "came back", "came up", "come back", "turned out", "dates", "dated", "something like that", "all over", "nothing special",
     "mate", "love", "guv", "boss", "sir", "pal", "chief", "cheers", "ta", "look", "listen", "anyhow", "all right",
     "alright", "right so", "and all", "like i say", "like i said", "as i say", "as i said", "i tell you", "i can tell you", "in fact", "as it happens", "obviously", "clearly",
     "em", "it all", "at all", "me mate", "my friend", "innit", "eh", "like that"]),
    (Role::Aside, &["ish", "at the moment", "at present", "for the moment", "wait", "hang on", "hold on", "say", "let's say", "never mind", "never you mind", "don't mind", "do not mind", "don't matter", "doesn't matter", "doesn't apply", "not applicable", "not relevant", "no matter", "which", "who", "what", "when", "where", "if", "whether", "some", "bit", "a bit", "bit of", "a bit of", "more", "much", "mostly",
     "mainly", "generally", "usually", "just about", "big", "large", "small", "little", "how", "since", "until", "because", "during",
     "today", "currently", "bottom", "top", "upper", "lower", "back", "front", "fine", "bright", "broken", "bits", "everywhere", "we kept",
     "kept", "left", "next door", "upstairs", "downstairs", "outside it", "again", "already", "only just", "somewhere", "about somewhere",
     "in places", "in the middle", "kitchen", "bathroom", "bedroom", "hall", "landing", "living room", "sitting room", "dining room",
     "lounge", "main", "room", "rooms", "would", "can", "should", "must", "yet", "nice", "lovely", "proper", "properly", "unless",
     "except for", "apart from", "aside from", "other than for", "save for", "bar", "otherwise", "partly", "in part", "part of", "parts of", "so far", "as yet", "for now", "tomorrow",
     "next week", "next month", "last", "last time", "later", "soon", "one day", "once", "sometimes", "at times", "at weekends",
     "weekends", "evenings", "nights", "days", "january", "february", "march", "april", "june", "july", "august", "september", "october", "november", "december", "in march", "in may", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "on monday",
     "verbally", "in principle", "unofficially", "off the record", "informally", "in theory", "subject to", "provided", "providing", "on condition", "pending",
     "depending", "supposing", "suppose", "either side", "this side", "that side", "one side", "the other side", "bad", "clean",
     "okay-ish", "side", "end"]),
    (Role::Hearsay, &["says", "said", "saying", "reckons", "reckoned", "thinks", "thought", "believes", "told", "tells", "claims", "claimed", "swears",
     "swore", "insists", "insisted", "assures", "assured", "promises", "promised", "mentioned", "guesses", "supposes", "assumes",
     "suspects", "expects", "hopes", "heard", "gathers", "i gather", "i hear", "i heard", "word is", "rumour has it", "it is said",
     "according to", "given me the nod", "gave me the nod"]),
    (Role::NotYet, &["not yet", "not so far", "not as yet", "not just yet", "not at the moment", "not for now"]),
];

/// Forms of verbs that differ from a noun of the trade only by its plural.
pub(super) static VERB_FORMS: &[&str] = &["came"];

/// The months, as they stand in a date.
pub(super) static MONTHS: &[&str] = &[
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
    "jan",
    "feb",
    "mar",
    "apr",
    "jun",
    "jul",
    "aug",
    "sep",
    "sept",
    "oct",
    "nov",
    "dec",
];

/// What stands before figures that are only guessed.
pub(super) static GUESSES: &[&str] = &["maybe", "perhaps", "possibly"];

/// Number words up to ninety.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static NUMBERS: &[(&str, f64)] = &[
    ("zero", 0.0), ("one", 1.0), ("two", 2.0), ("three", 3.0), ("four", 4.0), ("five", 5.0), ("six", 6.0), ("seven", 7.0), ("eight", 8.0),
    ("nine", 9.0), ("ten", 10.0), ("eleven", 11.0), ("twelve", 12.0), ("thirteen", 13.0), ("fourteen", 14.0), ("fifteen", 15.0),
    ("sixteen", 16.0), ("seventeen", 17.0), ("eighteen", 18.0), ("nineteen", 19.0), ("twenty", 20.0), ("thirty", 30.0), ("forty", 40.0),
    ("fourty", 40.0), ("fifty", 50.0), ("sixty", 60.0), ("seventy", 70.0), ("eighty", 80.0), ("ninety", 90.0),
];

/// Words that multiply.
pub(super) static SCALES: &[(&str, f64)] = &[("hundred", 100.0), ("thousand", 1000.0), ("dozen", 12.0), ("dozens", 12.0), ("score", 20.0)];

/// Parts of one.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static PARTS: &[(&str, f64)] = &[
    ("half", 2.0), ("halves", 2.0), ("third", 3.0), ("thirds", 3.0), ("quarter", 4.0), ("quarters", 4.0), ("fifth", 5.0), ("fifths", 5.0),
    ("eighth", 8.0), ("eighths", 8.0), ("tenth", 10.0), ("tenths", 10.0), ("sixteenth", 16.0), ("sixteenths", 16.0),
];

/// Words for a small number that is not quite settled.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static FEW: &[(&[&str], f64, f64)] = &[
    (&["a", "couple", "of"], 2.0, 2.0), (&["a", "couple"], 2.0, 2.0), (&["couple", "of"], 2.0, 2.0), (&["couple"], 2.0, 2.0), (&["a", "pair", "of"], 2.0, 2.0),
    (&["both"], 2.0, 2.0), (&["a", "few"], 3.0, 5.0), (&["a", "handful", "of"], 3.0, 6.0), (&["a", "handful"], 3.0, 6.0), (&["several"],
     3.0, 7.0), (&["single"], 1.0, 1.0), (&["a", "single"], 1.0, 1.0),
];

/// Words for a great many; a number is not given, and ten is taken as the least.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static MANY: &[&[&str]] = &[
    &["loads", "of"], &["loads"], &["lots", "of"], &["lots"], &["a", "lot", "of"], &["a", "lot"], &["heaps", "of"], &["heaps"], &["tons",
     "of"], &["tons"], &["umpteen"], &["countless"], &["many"], &["very", "many"], &["too", "many"], &["masses", "of"], &["masses"],
    &["no", "end", "of"], &["god", "knows", "how", "many"], &["plenty", "of"], &["plenty"], &["dozens", "of"], &["dozens"], &["hundreds",
     "of"], &["numerous"], &["layer", "upon", "layer", "of"],
];

/// Fractions written as one sign.
pub(super) static FRACTION_SIGNS: &[(char, f64)] =
    &[('½', 0.5), ('¼', 0.25), ('¾', 0.75), ('⅓', 1.0 / 3.0), ('⅔', 2.0 / 3.0), ('⅛', 0.125), ('⅜', 0.375), ('⅝', 0.625), ('⅞', 0.875)];

/// How a number is bounded or loosened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bound {
    /// Give or take.
    About,
    /// That or more.
    AtLeast,
    /// More than that.
    Above,
    /// That or less.
    AtMost,
    /// Less than that.
    Below,
}

/// Words before a number.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static BEFORE: &[(&[&str], Bound)] = &[
    (&["at", "least"], Bound::AtLeast), (&["no", "less", "than"], Bound::AtLeast), (&["no", "fewer", "than"], Bound::AtLeast), (&["not",
     "less", "than"], Bound::AtLeast), (&["minimum", "of"], Bound::AtLeast), (&["min"], Bound::AtLeast), (&["upwards", "of"],
     Bound::AtLeast), (&["upward", "of"], Bound::AtLeast), (&["≥"], Bound::AtLeast), (&["from"], Bound::AtLeast), (&["more", "than"],
     Bound::Above), (&["over"], Bound::Above), (&["above"], Bound::Above), (&["greater", "than"], Bound::Above), (&["better", "than"],
     Bound::Above), (&["well", "over"], Bound::Above), (&["just", "over"], Bound::Above), (&[">"], Bound::Above), (&["at", "most"],
     Bound::AtMost), (&["at", "the", "most"], Bound::AtMost), (&["no", "more", "than"], Bound::AtMost), (&["not", "more", "than"],
     Bound::AtMost), (&["up", "to"], Bound::AtMost), (&["maximum", "of"], Bound::AtMost), (&["max"], Bound::AtMost), (&["≤"],
     Bound::AtMost), (&["less", "than"], Bound::Below), (&["fewer", "than"], Bound::Below), (&["under"], Bound::Below), (&["below"],
     Bound::Below), (&["not", "quite"], Bound::Below), (&["<"], Bound::Below), (&["just", "under"], Bound::Below), (&["nearly"],
     Bound::About), (&["almost"], Bound::About), (&["about"], Bound::About), (&["around"], Bound::About), (&["roughly"], Bound::About),
    (&["approximately"], Bound::About), (&["approx"], Bound::About), (&["circa"], Bound::About), (&["ca"], Bound::About), (&["c"],
     Bound::About), (&["~"], Bound::About), (&["≈"], Bound::About), (&["something", "like"], Bound::About), (&["in", "the", "region",
     "of"], Bound::About), (&["somewhere", "around"], Bound::About), (&["somewhere", "near"], Bound::About), (&["getting", "on", "for"],
     Bound::About), (&["maybe"], Bound::About), (&["perhaps"], Bound::About), (&["say"], Bound::About), (&["must", "be"], Bound::About),
    (&["i'd", "say"], Bound::About), (&["probably"], Bound::About),
];

/// Words behind a number, or behind what it counts.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static BEHIND: &[(&[&str], Bound)] = &[
    (&["or", "more"], Bound::AtLeast), (&["and", "more"], Bound::AtLeast), (&["or", "over"], Bound::AtLeast), (&["plus"], Bound::AtLeast),
    (&["+"], Bound::AtLeast), (&["at", "least"], Bound::AtLeast), (&["minimum"], Bound::AtLeast), (&["and", "up"], Bound::AtLeast),
    (&["upwards"], Bound::AtLeast), (&["if", "not", "more"], Bound::AtLeast), (&["or", "less"], Bound::AtMost), (&["or", "fewer"],
     Bound::AtMost), (&["at", "most"], Bound::AtMost), (&["at", "the", "most"], Bound::AtMost), (&["maximum"], Bound::AtMost), (&["max"],
     Bound::AtMost), (&["tops"], Bound::AtMost), (&["or", "under"], Bound::AtMost), (&["or", "so"], Bound::About), (&["or", "thereabouts"],
     Bound::About), (&["ish"], Bound::About), (&["give", "or", "take"], Bound::About), (&["approx"], Bound::About), (&["approximately"],
     Bound::About), (&["roughly"], Bound::About), (&["or", "about"], Bound::About), (&["more", "or", "less"], Bound::About), (&["odd",
     "years"], Bound::About),
];

/// Spoken names of units, and the unit in files. The longest that fits is taken.
#[rustfmt::skip] // one word a line would hide the table
static SPOKEN_UNITS: &[(&str, &[&str])] = &[
    ("m", &["m", "metre", "metres", "meter", "meters", "mtr", "mtrs"]), ("cm", &["cm", "cms", "centimetre", "centimetres", "centimeter",
     "centimeters"]), ("mm", &["mm", "mms", "mil metres", "millimetre", "millimetres", "millimeter", "millimeters"]), ("um", &["um", "µm",
     "micron", "microns", "micrometres", "mu"]), ("mil", &["mil", "mils", "thou"]), ("ft", &["ft", "foot", "feet", "'"]), ("in", &["in",
     "ins", "inch", "inches", "\"", "''"]), ("yd", &["yd", "yds", "yard", "yards"]), ("m2", &["m2", "sqm", "sq m", "sq metres", "sq metre",
     "sq meters", "square m", "square metre", "square metres", "square meter", "square meters", "m squared", "metres squared"]), ("ft2",
    &["ft2", "sqft", "sq ft", "sq feet", "sq foot", "square ft", "square foot", "square feet", "feet squared", "sf"]), ("in2", &["in2",
     "sq in", "square inch", "square inches", "sq inches"]), ("cm2", &["cm2", "sq cm", "square centimetres", "square centimeters",
     "square cm"]), ("mm2", &["mm2", "sq mm", "square millimetres"]), ("min", &["min", "mins", "minute", "minutes"]), ("h", &["h", "hr",
     "hrs", "hour", "hours"]), ("d", &["day", "days", "nights"]), ("week", &["week", "weeks", "wk", "wks"]), ("C", &["° c", "c", "deg c",
     "degrees c", "degree c", "degrees celsius", "degrees centigrade", "celsius", "centigrade", "° celsius"]), ("F", &["° f", "f", "deg f",
     "degrees f", "degree f", "degrees fahrenheit", "fahrenheit", "° fahrenheit"]), ("%", &["%", "percent", "per cent", "pc", "% rh"]),
    ("ppm", &["ppm", "parts per million", "mg / kg", "milligrams per kilo", "milligrams per kilogram"]), ("bar", &["bar", "bars"]), ("psi",
    &["psi", "pounds per square inch", "pounds"]), ("MPa", &["mpa"]), ("kPa", &["kpa"]), ("m/s", &["m / s", "metres per second",
     "metres a second", "meters per second"]), ("km/h", &["km / h", "kmh", "kph", "kilometres an hour", "kilometres per hour",
     "km an hour"]), ("mph", &["mph", "miles an hour", "miles per hour", "mile an hour"]), ("mg/cm2", &["mg / cm2",
     "milligrams per square centimetre", "milligrams per square centimeter", "milligrams a square centimetre", "mg per cm2",
     "mg per square centimetre", "mg / sq cm"]),
];

/// Words for degrees of no named scale.
pub(super) static DEGREES: &[&str] = &["degrees", "degree", "deg", "°"];

/// Whether figures, in words or otherwise, or a year can begin with a piece of the line.
pub(super) fn may_begin_figures(token: &Token) -> bool {
    static WORDS: OnceLock<BTreeSet<&'static str>> = OnceLock::new();
    let words = WORDS.get_or_init(|| {
        let more =
            ["a", "an", "the", "half", "between", "from", "early", "late", "mid", "middle", "anything", "anywhere", "c", "in", "some"];
        let firsts = BEFORE.iter().map(|(w, _)| w[0]).chain(FEW.iter().map(|(w, ..)| w[0])).chain(MANY.iter().map(|w| w[0]));
        let numbers = NUMBERS.iter().chain(SCALES).chain(PARTS).chain(DECADES).map(|(w, _)| *w);
        let years = super::years::first_words();
        more.into_iter().chain(firsts).chain(numbers).chain(years).chain(ORDINALS.iter().map(|(w, _)| *w)).collect()
    });
    match token.kind {
        Kind::Number(_) | Kind::Year => true,
        Kind::Sign(_) | Kind::Word => words.contains(token.text.as_str()) || token.is('\''),
    }
}

/// The spoken names, each cut at its spaces.
pub(super) fn units() -> impl Iterator<Item = (Vec<&'static str>, &'static Unit)> {
    SPOKEN_UNITS.iter().flat_map(|(id, names)| {
        let unit = find_unit(id);
        names.iter().filter_map(move |n| unit.map(|u| (n.split(' ').collect(), u)))
    })
}

/// Words for the decades of a century.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static DECADES: &[(&str, f64)] = &[
    ("noughties", 0.0), ("tens", 10.0), ("teens", 10.0), ("twenties", 20.0), ("thirties", 30.0), ("forties", 40.0), ("fourties", 40.0),
    ("fifties", 50.0), ("sixties", 60.0), ("seventies", 70.0), ("eighties", 80.0), ("nineties", 90.0), ("hundreds", -1.0),
];

/// Ordinals, for centuries and coats.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static ORDINALS: &[(&str, usize)] = &[
    ("first", 1), ("1st", 1), ("second", 2), ("2nd", 2), ("third", 3), ("3rd", 3), ("fourth", 4), ("4th", 4), ("fifth", 5), ("5th", 5),
    ("sixth", 6), ("6th", 6), ("seventh", 7), ("7th", 7), ("eighth", 8), ("8th", 8), ("ninth", 9), ("tenth", 10), ("eleventh", 11),
    ("twelfth", 12), ("thirteenth", 13), ("fourteenth", 14), ("fifteenth", 15), ("sixteenth", 16), ("seventeenth", 17), ("eighteenth", 18),
    ("nineteenth", 19), ("twentieth", 20),
];

/// Other spellings, and the one used for comparing.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static SPELLINGS: &[(&str, &str)] = &[
    ("aluminum", "aluminium"), ("color", "colour"), ("mold", "mould"), ("neighbor", "neighbour"), ("fiber", "fibre"), ("gray", "grey"),
    ("plow", "plough"), ("galvaniz", "galvanis"), ("varnishe", "varnish"), ("stabiliz", "stabilis"), ("neutraliz", "neutralis"),
    ("recogniz", "recognis"), ("meter", "metre"), ("subsidiz", "subsidis"), ("analyz", "analys"),
];

/// Shortened words whose full stop belongs to them.
pub(super) static SHORTENED: &[&str] = &["c", "ca", "approx", "sq", "ft", "in", "yd", "no", "est", "max", "min", "deg", "cent", "tbc"];

/// Good words that lie one slip from a word of the trade, and are never taken for it.
#[rustfmt::skip] // one word a line would hide the table
pub(super) static GOOD_WORDS: &[&str] = &[
    "georgia", "victoria", "broad", "trail", "angle", "angel", "quiet", "quite", "diary", "form", "flour", "later", "layer", "cored", "lamb", "limb", "paste",
     "waste", "board", "bored", "cover", "clover", "tread", "bread", "dread", "thread", "read", "plain", "plan", "plane", "plans", "plant",
     "strip", "stripe", "trip", "stair", "stairs", "stain", "stains", "train", "drains", "drain", "rain", "grain", "brain", "crane",
     "house", "hose", "houses", "mouse", "works", "words", "worked", "wired", "fried", "dried", "friend", "being", "begin", "bring",
     "sewn", "where", "there", "their", "these", "those", "other", "others", "mother", "brother", "client", "salt", "slate", "stale",
     "shop", "chop", "range", "grange", "orange", "could", "would", "should", "cloud", "loud", "steam", "steams", "stream", "streams",
     "scream", "cream", "dream", "team", "mixed", "fixed", "paid", "paint", "pained", "point", "points", "print", "saint", "faint",
     "window", "widow", "widows", "wooden", "wood", "woods", "tanks", "thanks", "thank", "banks", "blank", "blanks", "plank", "wash",
     "washed", "wished", "fished", "finish", "finished", "diminish", "vanish", "banish", "varnish", "famish", "metal", "mental", "mettle",
     "petal", "medal", "coats", "coast", "costs", "boats", "goats", "copper", "chopper", "proper", "copier", "letter", "better", "ladder",
     "bladder", "larder", "gutter", "butter", "cutter", "mutter", "hatch", "thatch", "patch", "match", "catch", "watch", "branch", "brach",
     "casing", "chasing", "ceasing", "tiled", "titled", "tilted", "filled", "flat", "float", "floats", "flats", "desert", "dessert",
     "morning", "mourning", "evening", "signed", "singed", "single", "signal", "tinned", "trimmed", "timed", "beach", "bleach",
];
