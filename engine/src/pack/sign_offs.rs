//! Sign-offs: who answers for a rule of law or standard that says less than it did, and for which state of it.

use super::{LONGEST_TEXT, PackInfo, Rule, Topic};
use crate::toml_read::{Keys, Place, Problems};
use crate::words;
use jiff::civil::Date;

/// A named person's word that a rule of law or standard may say less than it did.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct SignOff {
    /// The rule.
    pub rule: String,
    /// The state of the rule it is given for, as comparing rule books shows it; [`GONE`] for a rule that was taken out.
    pub digest: String,
    /// Who answers for it.
    pub by: String,
    /// When it was given.
    pub date: Option<Date>,
    /// Why.
    pub why: String,
    /// The pack that holds it.
    pub pack: String,
    /// Where it stands.
    pub declared: Place,
}

/// What stands for the state of a rule that was taken out.
pub const GONE: &str = "gone";

/// The digits of a digest that are shown and written.
pub(crate) const DIGITS: usize = 12;

pub(super) fn read(topics: &[Topic<'_>], rules: &[Rule], problems: &Problems) -> Vec<SignOff> {
    let mut all: Vec<SignOff> = Vec::new();
    for topic in topics {
        for keys in topic.keys.tables(problems, "sign-off", "a sign-off") {
            let one = sign_off(topic.pack, &keys, rules, problems);
            keys.finish(problems);
            let Some(one) = one else { continue };
            if all.iter().any(|s| s.rule == one.rule && s.digest == one.digest) {
                problems.borrow_mut().push(one.declared.error(format!("`{}` is signed off twice in this state", one.rule)));
                continue;
            }
            all.push(one);
        }
    }
    all
}

fn sign_off(pack: &PackInfo, keys: &Keys<'_>, rules: &[Rule], problems: &Problems) -> Option<SignOff> {
    let rule = keys.need_text(problems, "rule");
    let digest = keys.need_text(problems, "digest");
    let by = keys.need_text(problems, "by").unwrap_or("");
    let why = keys.need_text(problems, "why").unwrap_or("");
    let date = keys.date(problems, "date");
    if keys.get("date").is_none() {
        keys.missing(problems, "date");
    }
    let (rule, digest) = (rule?, digest?);
    let report = |message: String, help: Option<String>| {
        problems.borrow_mut().push(keys.place().error(message).maybe_help(help));
    };
    if by.trim().is_empty() || why.trim().is_empty() {
        report("a sign-off is given by somebody, for a reason".to_owned(), Some("by = \"name and office\", why = \"…\"".to_owned()));
    }
    if [by, why].iter().any(|t| t.len() > LONGEST_TEXT) {
        report("this is too long for a sign-off".to_owned(), None);
    }
    let right = digest == GONE || digest.len() == DIGITS && digest.chars().all(|c| c.is_ascii_digit() || ('a'..='f').contains(&c));
    if !right {
        let help =
            format!("copy the {DIGITS} digits that a comparison of rule books shows, or write `{GONE}` for a rule that was taken out");
        report(format!("`{digest}` is not the state of a rule"), Some(help));
    }
    match rules.iter().find(|r| r.id == rule) {
        Some(r) if r.pack != pack.name => {
            report(format!("the rule `{rule}` belongs to pack `{}`, which alone can hold its sign-off", r.pack), None);
        }
        Some(_) if digest == GONE => report(format!("the rule `{rule}` is there, so it is not `{GONE}`"), None),
        None if digest != GONE => {
            let own = rules.iter().filter(|r| r.pack == pack.name).map(|r| r.id.as_str());
            report(format!("there is no rule `{rule}`"), words::did_you_mean(rule, own));
        }
        _ => {}
    }
    Some(SignOff {
        rule: rule.to_owned(),
        digest: digest.to_owned(),
        by: by.trim().to_owned(),
        date,
        why: why.trim().to_owned(),
        pack: pack.name.clone(),
        declared: keys.place(),
    })
}
