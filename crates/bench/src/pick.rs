//! Ticks over many records, a page at a time: which sections does a claim rest on?
//!
//! ```text
//!   form ── ticks of this page, and what is chosen on all others ──> the same form, another page
//! ```
//!
//! Works without JavaScript: turning the page sends the whole form, and what was ticked and written comes back in it.
//! What is chosen beyond the page goes along as runs of record numbers, `12-40,43`: a run stands for the listed records
//! from its first to its last, so ten thousand ticks are a few bytes.

use crate::failed::told;
use crate::form::{Posted, one};
use crate::leaf::{gap, leaves};
use maud::{Markup, html};
use std::collections::{BTreeSet, HashMap};
use workflow::refusal::Refusal;
use workflow::study::{Kind, Listed, Part, RecordId, Study};

/// Ticks that a page holds.
const PAGE: usize = 100;

/// What may be chosen: the numbers of all sections in their order, and the coupons that they belong to. What sections are
/// called is looked up for those that are shown.
#[derive(Clone, Debug, Default)]
pub(crate) struct Choice {
    sections: Vec<i64>,
    coupons: Vec<Listed>,
}

impl Choice {
    /// What a study has.
    pub(crate) fn of(study: &Study) -> Result<Self, Refusal> {
        let sections = study.numbers(Kind::Section, None)?.into_iter().map(|r| r.0).collect();
        Ok(Self { sections, coupons: study.list(Kind::Coupon)? })
    }
}

/// What is chosen, and the page of it that is seen.
#[derive(Clone, Debug, Default)]
pub(crate) struct Pick {
    chosen: BTreeSet<i64>,
    /// Names that the study does not have.
    elsewhere: Vec<String>,
    of: Option<i64>,
    page: usize,
    /// Sections of the coupon that is looked at, or of all.
    seen: usize,
    /// Those of the page.
    shown: Vec<Listed>,
}

impl Pick {
    /// What a file names.
    pub(crate) fn named<'a>(
        study: &Study,
        names: impl Iterator<Item = &'a str>,
    ) -> Result<Self, Refusal> {
        let known: HashMap<String, i64> =
            study.names(Kind::Section)?.into_iter().map(|(record, n)| (n, record.0)).collect();
        let mut pick = Self { page: 1, ..Self::default() };
        for name in names {
            match known.get(name) {
                Some(record) => drop(pick.chosen.insert(*record)),
                None => pick.elsewhere.push(name.to_owned()),
            }
        }
        Ok(pick)
    }

    /// Everything.
    pub(crate) fn all(choice: &Choice) -> Self {
        let chosen = choice.sections.iter().copied().collect();
        Self { chosen, page: 1, ..Self::default() }
    }

    /// Looks up the page that is to be seen.
    pub(crate) fn look_up(mut self, study: &Study, choice: &Choice) -> Result<Self, Refusal> {
        let under = self.of.map(RecordId);
        self.seen = match under {
            Some(_) => study.count(Kind::Section, under)?,
            None => choice.sections.len(),
        };
        self.page = self.page.clamp(1, self.pages());
        let skip = (self.page - 1) * PAGE;
        let part = Part { kind: Kind::Section, under, newest_first: false, skip, most: PAGE };
        self.shown = study.part(&part)?;
        Ok(self)
    }

    fn pages(&self) -> usize {
        self.seen.div_ceil(PAGE).max(1)
    }

    /// What was sent: what was chosen before, less the page that was seen, with its ticks.
    pub(crate) fn sent(study: &Study, choice: &Choice, posted: &Posted) -> Result<Self, Refusal> {
        let several = |name: &'static str| {
            posted
                .iter()
                .filter(move |(n, v)| n == name && !v.trim().is_empty())
                .map(|(_, v)| v.trim())
        };
        let mut chosen = in_runs(choice, one(posted, "chosen"));
        for record in in_runs(choice, one(posted, "shown")) {
            chosen.remove(&record);
        }
        let ticked: BTreeSet<i64> = several("tick").filter_map(|v| v.parse().ok()).collect();
        chosen.extend(choice.sections.iter().filter(|r| ticked.contains(r)));
        let mut pick = Self {
            chosen,
            elsewhere: several("elsewhere").map(str::to_owned).collect(),
            of: one(posted, "of").parse().ok(),
            page: 1,
            ..Self::default()
        };
        let mut turn = one(posted, "turn").split('/');
        let act = turn.next().unwrap_or_default();
        // A button says itself of which coupon it speaks: the list beside it may have been changed meanwhile.
        if ["page", "all", "none"].contains(&act) {
            pick.of = turn.next().and_then(|of| of.parse().ok());
        }
        match act {
            "page" => pick.page = turn.next().and_then(|n| n.parse().ok()).unwrap_or(1),
            "all" => pick.chosen.extend(pick.seen(study)?),
            "none" => {
                for record in pick.seen(study)? {
                    pick.chosen.remove(&record);
                }
            }
            _ => {}
        }
        Ok(pick)
    }

    /// The sections of the coupon that is looked at, or all.
    fn seen(&self, study: &Study) -> Result<impl Iterator<Item = i64> + use<>, Refusal> {
        let seen = study.numbers(Kind::Section, self.of.map(RecordId))?;
        Ok(seen.into_iter().map(|r| r.0))
    }

    /// The names of all that is chosen, in the order of the study.
    pub(crate) fn names(&self, study: &Study) -> Result<Vec<String>, Refusal> {
        let mut chosen = study.names(Kind::Section)?;
        chosen.retain(|(record, _)| self.chosen.contains(&record.0));
        chosen.sort_unstable_by_key(|(record, _)| *record);
        let elsewhere = self.elsewhere.iter().cloned();
        Ok(chosen.into_iter().map(|(_, name)| name).chain(elsewhere).collect())
    }

    /// The field of the form.
    pub(crate) fn field(
        &self,
        choice: &Choice,
        label: &str,
        hint: &str,
        refused: Option<&Refusal>,
    ) -> Markup {
        let (page, pages) = (self.page, self.pages());
        let shown: BTreeSet<i64> = self.shown.iter().map(|s| s.record.0).collect();
        let chosen = self.chosen.len() + self.elsewhere.len();
        let of = self.of.map(|of| of.to_string()).unwrap_or_default();
        let turn = |act: &str, words: &str, here: bool| {
            html! { button name="turn" value=(act) formaction="#sections" formnovalidate disabled[here] aria-current=[here.then_some("page")] { (words) } " " }
        };
        let coupon = self.of.and_then(|of| choice.coupons.iter().find(|c| c.record.0 == of));
        let whose = coupon.map_or_else(String::new, |c| format!(" of coupon {}", c.name));
        html! {
            div.field.wide.bad[refused.is_some()] #sections {
                fieldset {
                    legend { (label) }
                    p.hint { (hint) }
                    @if let Some(refused) = refused { (told(refused)) }
                    p { b { (chosen) " of " (choice.sections.len() + self.elsewhere.len()) } " ticked" @if choice.sections.len() > PAGE { ", on all pages together" } "." }
                    input type="hidden" name="chosen" value=(runs(choice, &self.chosen));
                    input type="hidden" name="shown" value=(runs(choice, &shown));
                    @if choice.coupons.len() > 1 {
                        p.turn {
                            label for="of" { "Show" } " "
                            select id="of" name="of" {
                                option value="" { "all coupons" }
                                @for c in &choice.coupons { option value=(c.record.0) selected[Some(c.record.0) == self.of] { "coupon " (c.name) } }
                            } " "
                            (turn("show", "Show", false))
                        }
                    }
                    @if self.seen > 1 {
                        p.turn {
                            (turn(&format!("all/{of}"), &format!("Tick all {}{whose}", self.seen), false))
                            (turn(&format!("none/{of}"), &format!("Tick none{whose}"), false))
                        }
                    }
                    div.several {
                        @for s in &self.shown {
                            label.tick { input type="checkbox" name="tick" value=(s.record.0) checked[self.chosen.contains(&s.record.0)]; " " (s.name) }
                        }
                        @for name in &self.elsewhere {
                            label.tick { input type="checkbox" name="elsewhere" value=(name) checked; " " (name) " (not in the study)" }
                        }
                    }
                    @if pages > 1 {
                        p.turn role="group" aria-label="Pages of the list" {
                            @for n in leaves(page, pages) {
                                @if gap(n, page, pages) { "… " }
                                (turn(&format!("page/{of}/{n}"), &n.to_string(), n == page))
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Records as runs of the list.
fn runs(choice: &Choice, of: &BTreeSet<i64>) -> String {
    let mut out = String::new();
    for run in choice.sections.chunk_by(|a, b| of.contains(a) == of.contains(b)) {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
        if !of.contains(first) {
            continue;
        }
        if !out.is_empty() {
            out.push(',');
        }
        out += &first.to_string();
        if run.len() > 1 {
            out += &format!("-{last}");
        }
    }
    out
}

/// The listed records of runs; what is no run names none.
fn in_runs(choice: &Choice, text: &str) -> BTreeSet<i64> {
    let mut runs: Vec<(i64, i64)> = text
        .split(',')
        .filter_map(|run| {
            let (first, last) = run.split_once('-').unwrap_or((run, run));
            Some((first.trim().parse().ok()?, last.trim().parse().ok()?))
        })
        .collect();
    runs.sort_unstable();
    let mut runs = runs.into_iter().peekable();
    let mut out = BTreeSet::new();
    for &record in &choice.sections {
        while runs.peek().is_some_and(|(_, last)| *last < record) {
            runs.next();
        }
        if runs.peek().is_some_and(|(first, _)| *first <= record) {
            out.insert(record);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{Rng, SeedableRng};

    /// Sections with gaps between their numbers, as other records leave them.
    fn choice(records: &[i64]) -> Choice {
        Choice { sections: records.to_vec(), coupons: Vec::new() }
    }

    /// Written by hand: sections 3, 5, 6, 9; chosen all but 5.
    #[test]
    fn runs_stand_for_the_listed_between_their_ends() {
        let choice = choice(&[3, 5, 6, 9]);
        assert_eq!(runs(&choice, &BTreeSet::from([3, 6, 9])), "3,6-9");
        assert_eq!(runs(&choice, &BTreeSet::from([3, 5, 6, 9])), "3-9");
        assert_eq!(in_runs(&choice, "3,6-9"), BTreeSet::from([3, 6, 9]));
        assert_eq!(in_runs(&choice, "4-5"), BTreeSet::from([5]));
    }

    /// What was written is read back; what is no run names nothing that is not listed.
    #[test]
    fn ten_thousand_selections_and_mutations_are_read() {
        let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(11);
        let listed: Vec<i64> = (1..400).filter(|n| n % 3 != 0).collect();
        let choice = choice(&listed);
        for _ in 0..10_000 {
            let share = rng.random::<f64>();
            let chosen: BTreeSet<i64> =
                listed.iter().copied().filter(|_| rng.random::<f64>() < share).collect();
            let mut text = runs(&choice, &chosen).into_bytes();
            assert_eq!(in_runs(&choice, &String::from_utf8_lossy(&text)), chosen);
            for _ in 0..rng.random_range(1..5) {
                let at = rng.random_range(0..=text.len());
                text.insert(at, b"0123456789-, x"[rng.random_range(0..14)]);
            }
            let wild = in_runs(&choice, &String::from_utf8_lossy(&text));
            assert!(wild.iter().all(|record| listed.contains(record)));
        }
    }
}
