//! A log and what it tells, drawn: dwell along, thickness up, results as shapes.

use super::estimate::{Estimate, turned};
use super::{Log, Outcome};
use crate::quantity::{self, System, plain};
use crate::reckon::span::three;
use crate::reckon::units::{Length, Measure, Time};
use std::fmt::Write as _;

/// Where dwells fall along the drawing: evenly on a logarithmic scale.
struct Scale {
    low: f64,
    high: f64,
    width: f64,
}

impl Scale {
    fn new(dwells: &[f64], width: f64) -> Self {
        let low = dwells.iter().copied().fold(f64::INFINITY, f64::min) / 1.3;
        let high = dwells.iter().copied().fold(0.0, f64::max) * 1.3;
        Self { low: low.ln(), high: high.ln(), width }
    }

    fn at(&self, dwell: f64) -> f64 {
        ((dwell.ln() - self.low) / (self.high - self.low)).clamp(0.0, 1.0) * self.width
    }

    /// Hours that are marked below.
    fn ticks(&self) -> Vec<f64> {
        [0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 24.0, 48.0, 96.0, 168.0]
            .into_iter()
            .filter(|h| (self.low..=self.high).contains(&(h * 3600.0_f64).ln()))
            .collect()
    }
}

/// Patches with dwells turned to the temperature of the job.
fn placed(log: &Log, estimate: &Estimate) -> Vec<(Length, Time, Outcome)> {
    log.tried
        .iter()
        .map(|t| (t.thickness, turned(t.dwell, t.temperature.unwrap_or(estimate.temperature), estimate.temperature), t.outcome))
        .collect()
}

fn length(thickness: Length, system: System) -> String {
    let unit = quantity::find_unit("mm").unwrap_or_else(Length::unit).for_system(system);
    format!("{} {}", plain(three(unit.of_base(thickness.base()))), unit.shown)
}

fn celsius(estimate: &Estimate, system: System) -> String {
    let unit = quantity::find_unit("C").unwrap_or_else(quantity::Unit::none).for_system(system);
    format!("{} {}", plain(three(unit.of_base(estimate.temperature.value()))), unit.shown)
}

fn letter(outcome: Outcome) -> char {
    match outcome {
        Outcome::Cleared => 'C',
        Outcome::Part => 'p',
        Outcome::Not => '-',
    }
}

/// As text: one row for each thickness tried, thickest first, so many columns wide.
pub fn text(log: &Log, estimate: &Estimate, columns: usize, system: System) -> String {
    let patches = placed(log, estimate);
    let dwells: Vec<f64> = patches.iter().map(|p| p.1.base()).collect();
    if dwells.is_empty() {
        return String::new();
    }
    let labels: Vec<String> = estimate.thicknesses.iter().map(|h| length(*h, system)).collect();
    let margin = labels.iter().map(|l| l.chars().count()).max().unwrap_or(0) + 2;
    let width = columns.saturating_sub(margin + 3).max(20);
    let scale = Scale::new(&dwells, (width - 1) as f64);
    let mut out = String::new();
    for (row, label) in estimate.rows.iter().zip(&labels).rev() {
        let mut cells = vec![' '; width];
        if let (Some(from), Some((_, to))) = (row.dwell, estimate.range) {
            let (a, b) = (scale.at(from.base()).round() as usize, scale.at(to.base()).round() as usize);
            cells[a..=b.max(a)].fill('/');
        }
        for (_, dwell, outcome) in patches.iter().filter(|p| (p.0.base() - row.thickness.base()).abs() < 1e-6) {
            let mut at = scale.at(dwell.base()).round() as usize;
            while at + 1 < width && matches!(cells[at], 'C' | 'p' | '-') {
                at += 1;
            }
            cells[at] = letter(*outcome);
        }
        if let Some(advice) = estimate.recommended.filter(|a| (a.thickness.base() - row.thickness.base()).abs() < 1e-6) {
            let mut at = scale.at(advice.dwell.base()).round() as usize;
            while at + 1 < width && matches!(cells[at], 'C' | 'p' | '-') {
                at += 1;
            }
            cells[at] = '*';
        }
        let line: String = cells.into_iter().collect();
        let _ = writeln!(out, "{label:>margin$} |{}", line.trim_end());
    }
    let _ = writeln!(out, "{:>margin$} +{}", "", "-".repeat(width));
    let mut below = vec![' '; width + 8];
    let mut free = 0;
    for hours in scale.ticks() {
        let label = format!("{} h", plain(hours));
        let at = scale.at(hours * 3600.0).round() as usize;
        if at >= free {
            for (i, c) in label.chars().enumerate() {
                below[at + i] = c;
            }
            free = at + label.len() + 2;
        }
    }
    let below: String = below.into_iter().collect();
    let _ = writeln!(out, "{:>margin$}  {}", "", below.trim_end());
    let star = if estimate.recommended.is_some() { "  * recommended" } else { "" };
    let _ = writeln!(out, "C cleared  p part  - not  / nine of ten clear{star}");
    let _ = writeln!(out, "Dwells are turned to {}.", celsius(estimate, system));
    out
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
        .chars()
        .filter(|c| !c.is_control())
        .collect()
}

/// As SVG, complete in itself. Shapes tell the results, not colours: a filled circle cleared, a triangle part, a cross not.
pub fn svg(title: &str, log: &Log, estimate: &Estimate, system: System) -> String {
    const LEFT: f64 = 80.0;
    const TOP: f64 = 50.0;
    const WIDTH: f64 = 520.0;
    const HEIGHT: f64 = 260.0;
    let patches = placed(log, estimate);
    let dwells: Vec<f64> = patches.iter().map(|p| p.1.base()).collect();
    let mut out = String::new();
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 640 420\" width=\"640\" height=\"420\" font-family=\"sans-serif\" font-size=\"12\" role=\"img\">\n<title>{}</title>",
        escape(title)
    );
    let counts = |o: Outcome| patches.iter().filter(|p| p.2 == o).count();
    let _ = writeln!(
        out,
        "<desc>Test patches by dwell and thickness: {} cleared, {} part, {} not.</desc>",
        counts(Outcome::Cleared),
        counts(Outcome::Part),
        counts(Outcome::Not)
    );
    let _ = writeln!(out, "<rect width=\"640\" height=\"420\" fill=\"#fff\"/>");
    let _ = writeln!(
        out,
        "<defs><pattern id=\"nine\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 8 L8 0\" stroke=\"#555\" stroke-width=\"1\"/></pattern></defs>"
    );
    let _ = writeln!(out, "<text x=\"{LEFT}\" y=\"26\" font-size=\"15\">{}</text>", escape(title));
    if dwells.is_empty() {
        out.push_str("<text x=\"80\" y=\"80\">No patches yet.</text>\n</svg>\n");
        return out;
    }
    let scale = Scale::new(&dwells, WIDTH);
    let thickest = patches.iter().map(|p| p.0.base()).fold(0.0, f64::max) * 1.25;
    let up = |h: f64| TOP + HEIGHT * (1.0 - h / thickest);
    let _ = writeln!(out, "<rect x=\"{LEFT}\" y=\"{TOP}\" width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"none\" stroke=\"#000\"/>");
    // The region within what was tried in which nine of ten clear.
    if let Some((_, longest)) = estimate.range {
        let mut edge: Vec<(f64, f64)> = Vec::new();
        let thinnest = estimate.thicknesses.first().map_or(0.0, |h| h.base());
        let thickest = estimate.thicknesses.last().map_or(0.0, |h| h.base());
        for i in 0..=12 {
            let h = thinnest + (thickest - thinnest) * f64::from(i) / 12.0;
            if let Some(d) = estimate.belief.dwell_for(
                super::estimate::WANTED,
                Length::of_base(h),
                estimate.temperature,
                estimate.range.unwrap_or((longest, longest)),
            ) {
                edge.push((LEFT + scale.at(d.base()), up(h)));
            }
        }
        if let (Some(first), Some(last)) = (edge.first().copied(), edge.last().copied()) {
            let right = LEFT + scale.at(longest.base());
            let mut points = edge;
            // A single thickness is a line: give it some height to be seen.
            let flat = if (first.1 - last.1).abs() < 1.0 { 5.0 } else { 0.0 };
            points.push((right.max(last.0), last.1 - flat));
            points.push((right.max(first.0), first.1 + flat));
            if flat > 0.0 {
                points.push((first.0, first.1 + flat));
                points.insert(0, (first.0, first.1 - flat));
            }
            let path: Vec<String> = points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
            let _ = writeln!(out, "<polygon points=\"{}\" fill=\"url(#nine)\" stroke=\"#555\"/>", path.join(" "));
        }
    }
    for hours in scale.ticks() {
        let x = LEFT + scale.at(hours * 3600.0);
        let y = TOP + HEIGHT;
        let _ = writeln!(out, "<line x1=\"{x:.1}\" y1=\"{y}\" x2=\"{x:.1}\" y2=\"{:.1}\" stroke=\"#000\"/>", y + 5.0);
        let _ = writeln!(out, "<text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{} h</text>", y + 19.0, plain(hours));
    }
    for h in &estimate.thicknesses {
        let y = up(h.base());
        let _ = writeln!(out, "<line x1=\"{:.1}\" y1=\"{y:.1}\" x2=\"{LEFT}\" y2=\"{y:.1}\" stroke=\"#000\"/>", LEFT - 5.0);
        let _ = writeln!(out, "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>", LEFT - 9.0, y + 4.0, length(*h, system));
    }
    for (thickness, dwell, outcome) in &patches {
        mark(*outcome, LEFT + scale.at(dwell.base()), up(thickness.base()), &mut out);
    }
    if let Some(advice) = estimate.recommended {
        let (x, y) = (LEFT + scale.at(advice.dwell.base()), up(advice.thickness.base()));
        let _ = writeln!(
            out,
            "<path d=\"M{x:.1} {:.1} L{:.1} {y:.1} L{x:.1} {:.1} L{:.1} {y:.1} Z\" fill=\"none\" stroke=\"#000\" stroke-width=\"2.5\"/>",
            y - 12.0,
            x + 12.0,
            y + 12.0,
            x - 12.0
        );
    }
    legend(estimate, system, &mut out);
    out.push_str("</svg>\n");
    out
}

fn mark(outcome: Outcome, x: f64, y: f64, out: &mut String) {
    let _ = match outcome {
        Outcome::Cleared => writeln!(out, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"6\" fill=\"#000\"><title>cleared</title></circle>"),
        Outcome::Part => writeln!(
            out,
            "<path d=\"M{x:.1} {:.1} L{:.1} {:.1} L{:.1} {:.1} Z\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.5\"><title>part</title></path>",
            y - 7.0,
            x + 7.0,
            y + 6.0,
            x - 7.0,
            y + 6.0
        ),
        Outcome::Not => writeln!(
            out,
            "<path d=\"M{:.1} {:.1} L{:.1} {:.1} M{:.1} {:.1} L{:.1} {:.1}\" fill=\"none\" stroke=\"#000\" stroke-width=\"2\"><title>not</title></path>",
            x - 6.0,
            y - 6.0,
            x + 6.0,
            y + 6.0,
            x - 6.0,
            y + 6.0,
            x + 6.0,
            y - 6.0
        ),
    };
}

fn legend(estimate: &Estimate, system: System, out: &mut String) {
    let _ = writeln!(out, "<text x=\"340\" y=\"348\" text-anchor=\"middle\">dwell at {}</text>", celsius(estimate, system));
    let _ = writeln!(out, "<text x=\"18\" y=\"180\" text-anchor=\"middle\" transform=\"rotate(-90 18 180)\">thickness</text>");
    let mut x = 84.0;
    for (outcome, word) in [(Outcome::Cleared, "cleared"), (Outcome::Part, "part"), (Outcome::Not, "not")] {
        mark(outcome, x, 378.0, out);
        let _ = writeln!(out, "<text x=\"{:.1}\" y=\"382\">{word}</text>", x + 12.0);
        x += 80.0;
    }
    let _ = writeln!(out, "<rect x=\"{x:.1}\" y=\"371\" width=\"18\" height=\"13\" fill=\"url(#nine)\" stroke=\"#555\"/>");
    let _ = writeln!(out, "<text x=\"{:.1}\" y=\"382\">nine of ten clear</text>", x + 24.0);
    if estimate.recommended.is_some() {
        let x = x + 150.0;
        let _ = writeln!(
            out,
            "<path d=\"M{x} 368 L{} 378 L{x} 388 L{} 378 Z\" fill=\"none\" stroke=\"#000\" stroke-width=\"2.5\"/>\n<text x=\"{}\" y=\"382\">recommended</text>",
            x + 10.0,
            x - 10.0,
            x + 16.0
        );
    }
}
