//! Area plans that were signed: kept in the study, and held against its settings as they are now.

use super::{
    Content, Form, Hash, Kind, Listed, PROGRAM, RecordId, Revision, Study, Unsaved, json, keep,
};
use crate::area::plan::plan;
use crate::area::{Area, from_text};
use crate::clock::{By, Moment};
use crate::refusal::Refusal;
use crate::wire::area::BEAM_FIELDS;
use crate::wire::claim_file::date;
use crate::wire::study::KeptArea;

/// Which paper an area plan is called.
const PAPER: &str = "area plan";
/// The study's own record, to which a plan without a setting belongs.
const ITSELF: RecordId = RecordId(1);

/// Whether a paper is an area plan, told by the name that it is kept under.
fn is_area_plan(paper: &Listed) -> bool {
    paper.kind == Kind::Paper && paper.name.starts_with(&format!("{PAPER} of "))
}

/// A plan that was signed.
#[derive(Debug)]
pub struct SignedArea {
    /// The record that keeps it.
    pub kept_as: Revision,
    /// What was signed and what has become of it, or why it cannot be understood.
    pub plan: Result<KeptPlan, Refusal>,
}

/// What was signed, beside what its setup comes to today.
#[derive(Debug)]
pub struct KeptPlan {
    /// What was signed.
    pub kept: KeptArea,
    /// The revision that its setting has now; none: it names no setting, or that is no longer there.
    pub setting_now: Option<i64>,
    /// The same setup, worked out with the setting as it is now.
    pub now: Result<Area, Refusal>,
}

/// Who signs an area plan, and when.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Signing {
    /// Who.
    pub by: String,
    /// When: year-month-day.
    pub on: String,
    /// Why it is released although something speaks against it.
    pub despite: String,
}

impl Study {
    /// Works out the area of a setup, whose setting is one of the study.
    ///
    /// # Errors
    ///
    /// As [`from_text`].
    pub fn area(&self, text: &str) -> Result<Area, Refusal> {
        let find = |name: &str| Ok(self.named(Kind::Setting, name)?.content.text);
        from_text("the setup".to_owned(), text, &find)
    }

    /// What is to be kept of a plan that is signed: the setup with its `[signed]`, and the plan's own hash. Typesets the plan,
    /// so it takes a moment.
    ///
    /// # Errors
    ///
    /// When the setup cannot be worked out or makes no plan, when nobody signs or on a day to come, and when something speaks
    /// against the area and nobody says why it is released all the same.
    pub fn sign_area(
        &self,
        text: &str,
        signing: &Signing,
        at: Moment,
    ) -> Result<KeptArea, Refusal> {
        let head = self.head_for_paper()?;
        let area = self.area(text)?;
        let (by, despite) = (signing.by.trim(), signing.despite.trim());
        if by.is_empty() {
            return Err(
                Refusal::new("nobody signs", "write who signed the plan").in_field("signed.by")
            );
        }
        let Some(day) = date(signing.on.trim()) else {
            let fact = format!("'{}' is not a day", signing.on.trim());
            return Err(
                Refusal::new(fact, "write year, month and day: 2026-11-25").in_field("signed.date")
            );
        };
        if format!("{:04}-{:02}-{:02}", day.year, day.month, day.day) > at.day_after() {
            let fact = format!("{} is a day to come", signing.on.trim());
            return Err(
                Refusal::new(fact, "write the day on which it was signed").in_field("signed.date")
            );
        }
        let against = &area.out.against;
        if let (Some(first), true) = (against.first(), despite.is_empty()) {
            return Err(Refusal::new(
                format!(
                    "{} thing(s) speak against releasing this area, the first: {first}",
                    against.len()
                ),
                "mend it; or let who signs write why it is released all the same",
            )
            .in_field("signed.despite"));
        }
        if !against.is_empty() && despite.chars().filter(|c| c.is_alphabetic()).count() < 10 {
            return Err(Refusal::new(
                format!("'{despite}' does not tell anybody why"),
                "write the reason in words: who decided it, and what stands in for what speaks against it",
            )
            .in_field("signed.despite"));
        }
        let site = area.setup.paper.as_ref().map_or_else(String::new, |p| p.site.trim().to_owned());
        let paper = plan(&area, Some(day))?;
        let setup = signed_text(text, &area, by, signing.on.trim())?;
        let [power, wavelength, ..] = area.setup.beam_said.texts().map(Option::unwrap_or_default);
        let setting = match &area.setup.setting {
            None => None,
            Some(s) => Some((s.name.clone(), self.named(Kind::Setting, &s.name)?.number)),
        };
        let of = setting
            .as_ref()
            .map_or_else(String::new, |(name, n)| format!(", setting '{name}' at revision {n}"));
        Ok(KeptArea {
            program: PROGRAM.to_owned(),
            paper: PAPER.to_owned(),
            head: head.to_string(),
            fingerprint: area.out.fingerprint.clone(),
            pdf_blake3: Hash::of(&paper.pdf).to_string(),
            pages: paper.pages,
            sentence: format!(
                "Area plan of {site} for {power} at {wavelength}{of}, signed by {by} on {}{}.",
                signing.on.trim(),
                if despite.is_empty() {
                    String::new()
                } else {
                    format!(" although something spoke against it ({despite})")
                }
            ),
            holds: against.is_empty(),
            site,
            signed_by: by.to_owned(),
            signed_on: signing.on.trim().to_owned(),
            despite: Some(despite.to_owned()).filter(|d| !d.is_empty()),
            setting,
            setup,
        })
    }

    /// Keeps a plan that was signed: one for each site; a plan signed again is its next revision.
    ///
    /// # Errors
    ///
    /// When the setting was changed since [`Study::sign_area`], or the study may not be written.
    pub fn keep_area(&self, kept: &KeptArea, by: &By) -> Result<Revision, Unsaved> {
        let of = match &kept.setting {
            None => self.last(ITSELF)?,
            Some((name, number)) => {
                let setting = self.named(Kind::Setting, name)?;
                if setting.number != *number {
                    let fact =
                        format!("the setting '{name}' was changed while the plan was signed");
                    let refusal =
                        Refusal::new(fact, "look at the area again, and sign what it says now");
                    return Err(refusal.in_field("setting").into());
                }
                setting
            }
        };
        let content = Content::new(format!("{PAPER} of {}", kept.site), Form::Json, json(kept)?)
            .under(Some(of.record))
            .out_of(of.seq);
        self.store().change(|change| keep(change, Kind::Paper, &content, &by.stamp("signed")))
    }

    /// Every area plan that was signed, the latest first, each beside what its setup comes to now. One that cannot be understood
    /// hides no other.
    ///
    /// # Errors
    ///
    /// When the file cannot be read.
    pub fn areas(&self) -> Result<Vec<SignedArea>, Refusal> {
        let mut all = Vec::new();
        for listed in self.list(Kind::Paper)?.iter().filter(|paper| is_area_plan(paper)) {
            let kept_as = self.last(listed.record)?;
            let plan = self.kept_plan(&kept_as);
            all.push(SignedArea { kept_as, plan });
        }
        all.sort_by_key(|a| std::cmp::Reverse(a.kept_as.seq));
        Ok(all)
    }

    fn kept_plan(&self, kept_as: &Revision) -> Result<KeptPlan, Refusal> {
        let kept: KeptArea = serde_json::from_str(&kept_as.content.text).map_err(|e| {
            Refusal::new(
                format!("the plan kept as '{}' cannot be understood: {e}", kept_as.content.name),
                "open it with the program's version that wrote it",
            )
            .in_file(self.path.display())
        })?;
        let setting_now = kept
            .setting
            .as_ref()
            .and_then(|(name, _)| self.named(Kind::Setting, name).ok())
            .map(|setting| setting.number);
        let now = self.area(&kept.setup);
        Ok(KeptPlan { kept, setting_now, now })
    }
}

/// The setup as a file that says what was signed.
fn signed_text(text: &str, area: &Area, by: &str, on: &str) -> Result<String, Refusal> {
    // The area was worked out of the same text, so neither can fail; were it otherwise, an empty setup must not be kept as
    // what was signed.
    let broken = |e: &dyn std::fmt::Display| {
        Refusal::new(format!("the setup cannot be kept: {e}"), "check the setup and sign it again")
    };
    let mut table: toml::Table = toml::from_str(text).map_err(|e| broken(&e))?;
    let mut signed = toml::Table::new();
    let mut say = |field: &str, said: String| drop(signed.insert(field.to_owned(), said.into()));
    say("by", by.to_owned());
    say("date", on.to_owned());
    say("fingerprint", area.out.fingerprint.clone());
    if let Some(setting) = &area.setup.setting {
        say("setting", setting.name.clone());
    }
    for (field, figure) in BEAM_FIELDS.into_iter().zip(area.setup.beam_said.texts()) {
        if let Some(figure) = figure {
            say(field, figure);
        }
    }
    table.insert("signed".to_owned(), signed.into());
    toml::to_string(&table).map_err(|e| broken(&e))
}

impl SignedArea {
    /// What has become of it, as a sentence, and whether it still stands.
    #[must_use]
    pub fn state(&self) -> (bool, String) {
        let fallen =
            |r: &Refusal| (false, format!("It no longer stands: {}. {}.", r.fact, r.advice));
        let KeptPlan { kept, setting_now, now } = match &self.plan {
            Ok(plan) => plan,
            Err(refusal) => return fallen(refusal),
        };
        let area = match now {
            Ok(area) => area,
            Err(refusal) => return fallen(refusal),
        };
        if area.out.changed_since_signed != Some(false) {
            let changed = match area.out.beam_changed.as_slice() {
                [] => "the setup comes to another plan now".to_owned(),
                changed => changed.join("; "),
            };
            return (
                false,
                format!(
                    "It no longer stands, the setting has changed since it was signed: {changed}. Have it signed again."
                ),
            );
        }
        let Some((name, then)) = &kept.setting else {
            return (
                true,
                "It stands. It names no setting: nobody is told when a setting goes beyond it."
                    .to_owned(),
            );
        };
        match setting_now {
            Some(now) if now != then => (
                true,
                format!(
                    "It stands: the setting '{name}' is at revision {now}, it was signed at {then}, and nothing that the plan rests on has changed."
                ),
            ),
            _ => (true, format!("It stands: the setting '{name}' is as it was.")),
        }
    }
}
