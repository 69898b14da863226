//! A survey's digest: the same for the same statements, however they are laid out and commented.

use super::{Facts, Survey};
use crate::base::Base;
use crate::catalogue::EntryKind;
use crate::pack::hex;
use sha2::{Digest, Sha256};
use std::fmt::Debug;

/// Collects pieces, each with its length.
struct Pieces(Sha256);

impl Pieces {
    fn text(&mut self, text: &str) {
        self.0.update((text.len() as u64).to_be_bytes());
        self.0.update(text.as_bytes());
    }

    fn any(&mut self, value: &impl Debug) {
        self.text(&format!("{value:?}"));
    }

    fn facts(&mut self, facts: &Facts, base: &Base) {
        self.any(&facts.len());
        // The order in which facts are written says nothing.
        let mut sorted: Vec<_> = facts.iter().map(|(id, stated)| (base.vocabulary.get(*id).id.as_str(), stated)).collect();
        sorted.sort_by_key(|(id, _)| *id);
        for (id, stated) in sorted {
            self.text(id);
            self.text(&stated.written);
            self.any(&(&stated.by, &stated.on, &stated.note));
        }
    }
}

impl Survey {
    /// SHA-256 over everything it states.
    pub fn digest(&self, base: &Base) -> String {
        let mut pieces = Pieces(Sha256::new());
        let methods = base.catalogue.entries(EntryKind::Method);
        pieces.text(&self.title);
        pieces.any(&(self.date, &self.place, &self.surveyor, self.system, &self.note));
        if let Some(starts) = self.starts {
            pieces.any(&("starts", starts));
        }
        pieces.facts(&self.site, base);
        pieces.any(&self.surfaces.len());
        for surface in &self.surfaces {
            pieces.text(&surface.name);
            pieces.any(&surface.note);
            pieces.facts(&surface.facts, base);
            pieces.any(&surface.coats.as_ref().map(Vec::len));
            for coat in surface.coats.iter().flatten() {
                pieces.facts(coat, base);
            }
            pieces.any(&surface.patches.len());
            for p in &surface.patches {
                pieces.any(&p.method.map(|m| &methods[m.at()].id));
                let measured = [&p.thickness, &p.dwell, &p.temperature].map(|q| q.as_ref().map(|q| q.base));
                pieces.any(&(measured, &p.result, p.on, &p.at, &p.note));
            }
            pieces.any(&surface.proposals.len());
            for p in &surface.proposals {
                pieces.text(&methods[p.method.at()].id);
                pieces.any(&p.note);
                pieces.facts(&p.settings, base);
            }
        }
        // A survey to which nothing has happened keeps the digest it had before there was anything to happen.
        for surface in self.surfaces.iter().filter(|s| !s.troubles.is_empty()) {
            pieces.text(&surface.name);
            for t in &surface.troubles {
                pieces.any(&("trouble", t.since, &t.note));
                pieces.facts(&t.facts, base);
            }
        }
        for i in &self.incidents {
            pieces.any(&("incident", &i.surface, i.on, &i.note));
            pieces.facts(&i.facts, base);
        }
        for d in &self.departures {
            pieces.any(&(&d.rule, &d.who, &d.why, d.on, d.until, &d.surface));
        }
        hex(&pieces.0.finalize())
    }
}
