//! A log and a plan as sheets: results, findings, what they come from, cautions.

use super::estimate::Advice;
use super::plan::Plan;
use super::{Told, method_title};
use crate::error::Error;
use crate::finding::Verdict;
use crate::reckon::sheet::{Desk, Sheet, Standing};
use crate::reckon::span::{Given, Span};
use crate::reckon::units::{Area, Celsius, Length, Ratio, Share, Time};
use crate::role::{FactRole, FigureRole, Occasion};
use crate::survey::Surface;
use crate::vocabulary::Known;

/// The temperature the job is expected at: that of the surface, else of the air, where the survey settles it.
pub(crate) fn job_temperature(surface: &Surface, site: &crate::survey::Facts, desk: &Desk<'_>) -> Option<Celsius> {
    let vocabulary = &desk.shelf.base().vocabulary;
    let of = |role: FactRole, facts: &crate::survey::Facts| -> Option<Celsius> {
        match &facts.get(&vocabulary.with(role)?)?.known {
            Known::Num(reach) => reach.single().map(Celsius::of),
            _ => None,
        }
    };
    of(FactRole::SurfaceTemperature, &surface.facts).or_else(|| of(FactRole::AirTemperature, site))
}

/// The factor by which 10 degrees speed a remover up, from and to.
///
/// # Errors
/// Where the rule book does not state it.
pub(crate) fn warmth(desk: &Desk<'_>) -> Result<(f64, f64), Error> {
    let span: Span<Ratio> = desk.look_up(FigureRole::Warmth)?;
    Ok((span.low().value(), span.high().value()))
}

fn percent(share: Share) -> String {
    // A chance is never shown as certain.
    let value = share.in_percent();
    let whole = value.round().clamp(1.0, 99.0);
    format!("{whole} %")
}

fn in_words(advice: &Advice, sheet: &Sheet) -> String {
    format!(
        "{} for {}: {} of spots clear ({} to {})",
        sheet.say(advice.thickness, "mm"),
        sheet.say(advice.dwell, "h"),
        percent(advice.chance),
        percent(advice.between.low()),
        percent(advice.between.high())
    )
}

/// What a log tells. Nothing longer than the rules let stay on is recommended or suggested, whatever the log says.
///
/// # Errors
/// Where the rule book lacks a figure.
pub fn log_sheet(surface: &str, told: &Told, proposed: Option<(&Given<Length>, &Given<Time>)>, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let Told { log, usual, allowed, estimate } = told;
    let allowed = *allowed;
    let title = format!("Test patches: {surface}, {}", method_title(log.method, desk.shelf.base()));
    let mut sheet = desk.sheet("patches", title);
    sheet.result_text("patches that tell something", log.tried.len().to_string());
    for row in &estimate.rows {
        let name = format!("at {}", sheet.say(row.thickness, "mm"));
        let text = match row.dwell {
            Some(d) => format!("nine of ten clear from {}", sheet.say(d, "h")),
            None => format!("{} clear at the longest dwell tried", percent(row.at_longest)),
        };
        sheet.result_text(name, text);
    }
    let too_long = |dwell: Time| allowed.is_none_or(|most| dwell > most);
    let ruled = |sheet: &Sheet| {
        allowed.map_or("do not let it stay on here".to_owned(), |most| format!("let it stay on for {} at most here", sheet.say(most, "h")))
    };
    if let Some(advice) = &estimate.recommended {
        let text = in_words(advice, &sheet);
        if too_long(advice.dwell) {
            let says = format!(
                "By the log it would be {text}. The rules {}: nothing is recommended. A check of it says why; try thicker, warmer, or another remover.",
                ruled(&sheet)
            );
            sheet.find(Standing::Fails, says, None);
        } else {
            sheet.result_text("recommended", text);
        }
    }
    for reason in &estimate.thin {
        sheet.find(Standing::Open, format!("No dwell is recommended: {reason}."), None);
    }
    if estimate.recommended.is_none() && estimate.thin.is_empty() {
        let says = match &estimate.beyond {
            Some(advice) if too_long(advice.dwell) => format!(
                "Nine of ten are not reached within what was tried, and would take longer than the rules allow, which {}: another remover, or a second application, is to be tried.",
                ruled(&sheet)
            ),
            Some(advice) => format!(
                "Nine of ten are not reached within what was tried. Beyond it they are expected at {}: put a larger confirming patch there before anything is decided.",
                in_words(advice, &sheet)
            ),
            None => "Nine of ten are not reached within what was tried, nor expected beyond it: another remover, or a second application, is to be tried.".to_owned(),
        };
        sheet.find(Standing::Open, says, None);
    }
    for pair in &estimate.contradictions {
        sheet.find(
            Standing::Open,
            format!("The log contradicts itself: {pair}. Do both again; the stack may differ from place to place."),
            None,
        );
    }
    for note in &estimate.notes {
        sheet.find(Standing::Plain, format!("{}.", upper(note)), None);
    }
    if let Some((thickness, dwell)) = proposed {
        let (h, t) = (sheet.given("proposed thickness", thickness).low(), sheet.given("proposed dwell", dwell).low());
        let (advice, inside) = estimate.proposed(h, t);
        let text = in_words(&advice, &sheet);
        sheet.result_text("proposed", text);
        if too_long(t) {
            let says = format!("The rules {}: what is proposed is too long.", ruled(&sheet));
            sheet.find(Standing::Fails, says, None);
        }
        if !inside {
            sheet.find(
                Standing::Open,
                "What is proposed lies beyond what was tried: the chance is a guess until a larger patch confirms it.",
                None,
            );
        }
    }
    let text = match estimate.next(usual, allowed) {
        Some(next) => {
            format!("{} for {} at {}", sheet.say(next.thickness, "mm"), sheet.say(next.dwell, "h"), sheet.say(estimate.temperature, "C"))
        }
        None => "none that the rules allow".to_owned(),
    };
    sheet.result_text("the next patch that tells most", text);
    let temperature = sheet.say(estimate.temperature, "C");
    sheet.given_text("temperature of the job", temperature, None);
    desk.figure::<Ratio>(&mut sheet, FigureRole::Warmth)?;
    sheet.given_text(
        "usual thickness",
        usual.thickness.show(crate::quantity::find_unit("mm").unwrap_or_else(<Length as crate::reckon::units::Measure>::unit)),
        None,
    );
    sheet.given_text(
        "usual dwell",
        usual.dwell.show(crate::quantity::find_unit("h").unwrap_or_else(<Time as crate::reckon::units::Measure>::unit)),
        None,
    );
    sheet.formula("share of the stack cleared = the lesser of sqrt(dwell / needed dwell) and thickness / needed thickness, times lognormal scatter; what is needed is inferred on a grid from the results (diffusion: J. Crank, The Mathematics of Diffusion, from memory)");
    desk.remark(&mut sheet, Occasion::PatchLog);
    Ok(sheet)
}

fn upper(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// Which patches a surface wants.
///
/// # Errors
/// Where the rule book lacks a figure.
pub fn plan_sheet(plan: &Plan, desk: &Desk<'_>) -> Result<Sheet, Error> {
    let mut sheet = desk.sheet("patch-plan", format!("Test patches to make: {}", plan.surface));
    sheet.given_text("stack", plan.stack.clone(), None);
    if !plan.same.is_empty() {
        sheet.given_text("speaks also for", crate::words::list(&plan.same, "and"), None);
    }
    sheet.result_text("patches", format!("{}, and a witness square", plan.number()));
    sheet.result("side of each", plan.side, "mm");
    if plan.masonry {
        let brick = desk.figure::<Area>(&mut sheet, FigureRole::PatchOnBrick)?;
        let panel = desk.figure::<Area>(&mut sheet, FigureRole::Panel)?;
        sheet.result("on brick, the area of each", brick, "m2");
        sheet.result("on masonry, a sample panel afterwards", panel, "m2");
    }
    for m in &plan.methods {
        let title = method_title(Some(m.method), desk.shelf.base());
        // One line for each thickness.
        let mut at = 0;
        while at < m.patches.len() {
            let thickness = m.patches[at].0;
            let dwells: Vec<String> = m.patches[at..].iter().take_while(|p| p.0 == thickness).map(|p| sheet.say(p.1, "h")).collect();
            at += dwells.len();
            let text = format!("{} for {}", sheet.say(thickness, "mm"), crate::words::list(&dwells, "and"));
            sheet.result_text(title.clone(), text);
        }
        if m.verdict != Verdict::Suited {
            sheet.find(
                Standing::Plain,
                format!("{}: {}. The patches keep its conditions and wait for its hold points.", upper(&title), m.verdict),
                None,
            );
        }
        if let Some(longest) = m.cut_short {
            sheet.find(
                Standing::Plain,
                format!("{}: the rules let it stay on for {} at most here.", upper(&title), sheet.say(longest, "h")),
                None,
            );
        }
    }
    if plan.methods.is_empty() {
        sheet.find(
            Standing::Open,
            "No remover that is put on and left is possible here: patches of the methods that are possible are made by hand.",
            None,
        );
    }
    for text in &plan.left_out {
        sheet.find(Standing::Plain, format!("Left out: {text}"), None);
    }
    for text in &plan.open {
        sheet.find(Standing::Open, format!("{}.", upper(text)), None);
    }
    desk.figure::<Ratio>(&mut sheet, FigureRole::PatchThicknesses)?;
    desk.figure::<Ratio>(&mut sheet, FigureRole::PatchDwells)?;
    desk.figure::<Length>(&mut sheet, FigureRole::PatchSide)?;
    desk.remark(&mut sheet, Occasion::PatchPlan);
    Ok(sheet)
}
