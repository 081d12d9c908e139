//! What a setting should make of a joint: rooms joined for `start` and `compare`.

pub mod pictures;
pub mod says;

use crate::files;
use crate::refusal::Refusal;
use crate::start::{Started, refusal_form};
use crate::wire::joint::{AskedJoint, ClauseOut, RefusalOut};
use crate::wire::predict::{
    BandOut, ExpectOut, ExpectedOut, RangeOut, SensitivityOut, SettingOut, WireOut, WobbleOut,
};
use crate::wire::setting::{AskedProcess, AskedSetting, Rates, setting_from_toml};
use physics::arc::{Arc, Bead, preparation};
use physics::band::{Band, CHECKED_RANGE};
use physics::conduction;
use physics::deposit::Feed;
use physics::fused::Limit;
use physics::hardening::{self, Composition, PreheatError};
use physics::heat::{self, Affected, Shape};
use physics::keyhole::Resolution;
use physics::melt::Calibration;
pub use physics::melt::Tier;
use physics::metal::Metal;
use physics::predict::{Expected, Outcome, PredictError, predict};
use physics::search::{Goal, answers};
use physics::setting::{Laser, Plates, Work};
use physics::strength::parent::Plate;
use physics::strength::refusal::What;
use physics::strength::{Aisc, AwsD11, Code, Joint, Need, american, needed};
use std::path::Path;
use weld::materials::Family;
use weld::quantity::show::significant;
use weld::quantity::{Angle, Area, Length, LineEnergy, Temperature};
use weld::reading::{Answer, Reading};
use weld::section::Section;
use weld::source::Source;

/// A prediction, as form and as nouns.
#[derive(Debug)]
pub struct Predicted {
    /// The form of the answer.
    pub out: ExpectOut,
    /// The section to expect, for drawings; none where the beam misses, nothing melts, or an arc makes a butt.
    pub section: Option<Section>,
    /// Low and high end of the band, for drawings.
    pub ends: Option<[Option<Section>; 2]>,
    /// The beam; none for an arc.
    pub laser: Option<Laser>,
    /// The plates and their metal.
    pub work: Work,
}

/// The words that tiers are asked by.
pub const TIERS: [(&str, Tier); 2] =
    [("quick", Tier::Quick), ("keyhole", Tier::Keyhole(Resolution::REPORT))];

/// Reads a setting file.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn setting(path: &Path) -> Result<AskedSetting, Refusal> {
    setting_from_toml(&path.display().to_string(), &files::text(path)?)
}

/// The joint as a prediction wants it: plates and the metal whose heat is taken.
///
/// # Errors
///
/// When a bead has no plate.
pub fn work_of(
    asked: &AskedJoint,
    setting: Option<&AskedSetting>,
) -> Result<(Work, Vec<Limit>), Refusal> {
    let mut limits = Vec::new();
    let (joint, family, other) = match &asked.joint {
        Joint::Bead => {
            let part = asked.bead.as_ref().ok_or_else(|| {
                Refusal::new(
                    "a bead's plate and material are not given, and its heat hangs on both",
                    "add plate = \"10 mm\" and material = \"S355\"",
                )
                .in_field("plate")
            })?;
            (Plates::Bead { thickness: part.thickness }, part.metal.family, part.metal.family)
        }
        Joint::Butt(b) => {
            let thickness = b.parts[0].thickness.min(b.parts[1].thickness);
            let both = b.welds.count() == 2;
            let joint = Plates::Butt { thickness, gap: b.gap, both };
            (joint, b.parts[0].metal.family, b.parts[1].metal.family)
        }
        Joint::Tee(t) => {
            let joint = Plates::Tee {
                base: t.base.thickness,
                upright: t.upright.thickness,
                angle: t.angle,
                gap: t.gap,
                both: t.welds.count() == 2,
            };
            (joint, t.base.metal.family, t.upright.metal.family)
        }
    };
    let of_joint = match family {
        Family::CarbonSteel => Metal::CarbonSteel,
        Family::Stainless => Metal::Austenitic,
        Family::Aluminium => Metal::Aluminium,
    };
    let metal = setting.and_then(|s| s.metal).unwrap_or(of_joint);
    if metal != of_joint {
        limits.push(Limit {
            what: ANOTHER_METAL,
            fact: format!(
                "the setting's metal is {}, and the joint's material is {}: the melt is worked out for the first, the need for the second",
                metal.word(),
                of_joint.word()
            ),
            advice: "leave metal out of the setting",
        });
    }
    if family != other {
        limits.push(Limit {
            what: "two metals",
            fact: format!(
                "the parts are {} and {}: the heat of {} is taken for both",
                family.word(),
                other.word(),
                metal.word()
            ),
            advice: "weld a coupon: depth differs on the two sides",
        });
    }
    let temperature = setting.map_or(weld::quantity::Temperature::from_deg_c(20.0), |s| s.preheat);
    Ok((Work { metal, temperature, joint }, limits))
}

/// A limit, as a sentence.
pub(crate) fn limit_words(limit: &Limit) -> String {
    format!("{}: {}; try: {}", limit.what, limit.fact, limit.advice)
}

/// The caution that setting and joint name two metals.
pub(crate) const ANOTHER_METAL: &str = "another metal";

/// What is asked of each weld by a need.
#[must_use]
pub fn goal(need: &Need, joint: &Joint) -> Option<Goal> {
    let counts = need.penetration_counts_by.counts;
    let throat = if counts { need.specify_any_plane() } else { need.specify };
    // The code names a least leg as a condition, or refuses a leg that is below it.
    let least_leg = match joint {
        Joint::Tee(t) if need.refusal(What::LeastLeg).is_some() => {
            Some(american::least_leg(t.base.thickness.min(t.upright.thickness)).mm())
        }
        _ => None,
    };
    Some(Goal {
        throat: throat?.mm(),
        depth_counts: counts,
        least_leg,
        full: need.as_full_penetration.is_some_and(|f| f.utilisation <= 1.0) && need.welds == 2,
        fused: [Plate::Base, Plate::Upright].map(|plate| {
            need.fused.iter().filter(|f| f.plate == plate).map(|f| f.least.mm()).fold(0.0, f64::max)
        }),
    })
}

/// The setting with the angle that a joint wants when none was said.
fn at_the_joint(asked: &AskedSetting, work: &Work, taken: &mut Vec<String>) -> AskedProcess {
    match asked.process {
        AskedProcess::Laser(laser) if !asked.angle_said => {
            if matches!(work.joint, Plates::Tee { .. }) {
                taken.push("torch at 45° to the base (torch_angle = ...)".to_owned());
                AskedProcess::Laser(Laser { torch_angle: Angle::from_deg(45.0), ..laser })
            } else {
                AskedProcess::Laser(laser)
            }
        }
        other => other,
    }
}

/// Where the room's refusal belongs.
fn place(
    e: &PredictError,
    file: &str,
    setting: &AskedSetting,
    joint: (&str, &AskedJoint),
) -> Refusal {
    let what = e.what();
    let in_joint = match what {
        "the plate's thickness" => Some("plate"),
        "the base's thickness" => Some("base"),
        "the upright's thickness" => Some("upright"),
        "the gap" => Some("gap"),
        "the angle between the plates" => Some("angle"),
        _ => None,
    };
    if let Some(field) = in_joint {
        return Refusal::new(e, e.advice())
            .in_field(field)
            .at_line(joint.1.line(field))
            .in_file(joint.0);
    }
    let field = AskedSetting::field_of(what);
    Refusal::new(e, e.advice()).in_field(field).at_line(setting.line(field)).in_file(file)
}

/// American codes count the strength of the electrode, and without wire there is none in the weld.
pub(crate) fn no_filler(joint: &AskedJoint, laser: &Laser) -> Option<Limit> {
    let electrode = match joint.need.as_ref()?.code {
        Code::Aisc(Aisc { electrode, .. }) => electrode,
        Code::AwsD11(AwsD11 { electrode }) => electrode,
        Code::En(_) => return None,
    };
    (laser.wire.is_none() && joint.joint != Joint::Bead).then(|| Limit {
        what: "no filler",
        fact: format!(
            "the need counts weld metal of {:.0} ksi, and nothing is fed: what melts is the plates' own metal",
            electrode.ksi()
        ),
        advice: "feed a wire of that class, or show the weld metal's strength by tests",
    })
}

/// A lap's edge melts away and its joint line runs as far as the plates overlap: no relation here is of that.
///
/// # Errors
///
/// When the joint is a lap.
pub(crate) fn refuse_lap(started: &Started) -> Result<(), Refusal> {
    if started.asked.kind != "lap" {
        return Ok(());
    }
    Err(Refusal::new(
        "a lap's section is not predicted: only beads, butts and tees are",
        "weld coupons and read them; what its load needs is worked out, with --need-only on the command line",
    )
    .in_field("joint")
    .at_line(started.asked.line("joint"))
    .in_file(&started.out.file))
}

/// What to expect of a setting file on a joint that was read.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn expect(started: &Started, setting_path: &Path, tier: Tier) -> Result<Predicted, Refusal> {
    let asked = setting(setting_path)?;
    expect_asked(started, &setting_path.display().to_string(), &asked, tier)
}

/// The same of a setting that was read.
///
/// # Errors
///
/// As [`expect`].
pub fn expect_asked(
    started: &Started,
    file: &str,
    asked: &AskedSetting,
    tier: Tier,
) -> Result<Predicted, Refusal> {
    let joint = &started.asked;
    refuse_lap(started)?;
    let (work, mut limits) = work_of(joint, Some(asked))
        .map_err(|r| r.at_line(joint.line("joint")).in_file(&started.out.file))?;
    let mut taken = joint.taken.clone();
    taken.extend(asked.taken.iter().cloned());
    let process = at_the_joint(asked, &work, &mut taken);
    let wrong = |e: &PredictError| place(e, file, asked, (started.out.file.as_str(), joint));
    work.check().map_err(|e| wrong(&PredictError::Figure(e)))?;
    let sides = work.joint.welds();
    let mut out = ExpectOut {
        file: started.out.file.clone(),
        setting: file.to_owned(),
        joint_kind: joint.kind,
        process: asked.number.clone(),
        tier: tier.word(),
        welds: sides,
        expected: ExpectedOut::default(),
        absorbed_share: 0.0,
        band: None,
        warnings: Vec::new(),
        checked_range: RangeOut { inside: false, range: CHECKED_RANGE, outside: Vec::new() },
        need: started.out.need.clone(),
        allowed: true,
        meets_need: None,
        meets_by: None,
        meets_need_at_low: None,
        refusals: Vec::new(),
        sensitivity: Vec::new(),
        taken,
        sources: Vec::new(),
    };
    let goal = started.need.as_ref().and_then(|need| goal(need, &joint.joint));
    let mut sources = sources(work.metal);
    let (section, ends) = match process {
        AskedProcess::Laser(laser) => {
            let said = predict(&laser, &work, tier, Calibration::NONE).map_err(|e| wrong(&e))?;
            limits.extend(said.limits.iter().cloned());
            limits.extend(no_filler(joint, &laser));
            out.expected = expected_form(&laser, &work, &said, asked);
            out.absorbed_share = said.melt.absorbed;
            if let Some(gas) = &asked.gas {
                out.taken
                    .push(format!("{gas} as any other shielding gas: it changes nothing here"));
            }
            out.band = band_form(&said);
            if let Band::Outside(why) = &said.melt.band {
                out.checked_range.outside.clone_from(why);
            } else if tier == Tier::Quick {
                out.checked_range.outside.push(
                    "the quick tier is for a slider and a first sieve: it may be off by more than the keyhole tier's band".to_owned(),
                );
            }
            out.checked_range.inside = out.band.is_some();
            if let Some(goal) = &goal {
                out.meets_need = goal.met_by(&said.middle);
                out.meets_by = (out.meets_need == Some(true))
                    .then(|| if goal.by_throat(&said.middle) { BY_THROAT } else { BY_FULL });
                let enough = goal.shown(&said.middle).is_some_and(|t| t >= goal.throat);
                if enough && !goal.by_throat(&said.middle) {
                    let e = &out.expected;
                    let root = e.root_penetration_mm.filter(|_| goal.depth_counts).unwrap_or(0.0);
                    limits.push(Limit {
                        what: "fusion faces",
                        fact: format!(
                            "the load needs {:.2} mm fused on the base, leg and root together, and {:.2} mm on the upright (our check, with the code's own limit); {:.2} and {:.2} mm are expected",
                            goal.fused[0],
                            goal.fused[1],
                            e.leg_base_mm.unwrap_or(0.0) + root,
                            e.leg_upright_mm.unwrap_or(0.0)
                        ),
                        advice: "wider toes: a wider wobble, or slower travel",
                    });
                }
                if matches!(work.joint, Plates::Bead { .. } | Plates::Butt { .. })
                    && !laser_is_square(&laser)
                {
                    out.taken.push(
                        "the torch square to the plate: its angle changes nothing here".to_owned(),
                    );
                }
                out.meets_need_at_low = goal.at_worse_end(&said).map(|left| left >= 0.0);
            }
            if matches!(tier, Tier::Keyhole(_)) && said.middle.throat().is_some() {
                let goal = goal.unwrap_or(Goal {
                    throat: 0.0,
                    depth_counts: true,
                    least_leg: None,
                    full: false,
                    fused: [0.0; 2],
                });
                out.sensitivity =
                    answers(&laser, &work, &goal).into_iter().map(Into::into).collect();
            }
            let ends = said.ends.map(|[low, high]| [low.section, high.section]);
            (said.middle.section, ends)
        }
        AskedProcess::Arc(arc) => {
            out.tier = "arc";
            let mut bead = arc.bead(&work).map_err(|e| wrong(&e.into()))?;
            let mut outside = Vec::new();
            if !arc.in_range() {
                outside.push("current, voltage or travel beyond it".to_owned());
            }
            if bead.wire > HOT_ENOUGH {
                outside.push(format!(
                    "the wire takes {:.0} % of the heat, and no more than half is left to fuse the plates: whether its toes fuse cannot be told",
                    100.0 * bead.wire
                ));
            }
            if !outside.is_empty() {
                bead.ends = None;
            }
            let (expected, section, more) = arc_form(&arc, &bead, &work, asked, goal.as_ref());
            limits.extend(more);
            if !outside.is_empty() {
                limits.push(Limit {
                    what: "outside the checked range",
                    fact: format!("no band: the relations of arcs were made at {ARC_RANGE}, with wires that take less than half of the heat"),
                    advice: "weld a coupon and read it; take no figure from here",
                });
            } else if bead.ends.is_none() {
                limits.push(Limit {
                    what: "no band",
                    fact: "a TIG pool is mostly shallower than the point source's half circle; its depth was not checked".to_owned(),
                    advice: "weld a coupon and read it",
                });
            }
            out.expected = expected;
            out.absorbed_share = arc.process.efficiency().value;
            out.checked_range = RangeOut { inside: outside.is_empty(), range: ARC_RANGE, outside };
            if let (Some(goal), Some(t)) = (&goal, out.expected.theoretical_throat_mm) {
                out.meets_need = Some(t >= goal.throat);
                out.meets_by = (t >= goal.throat).then_some(BY_THROAT);
            }
            sources.extend([
                weld::source::EN_1011_1_EFFICIENCY,
                weld::source::ISO_TR_18491,
                weld::source::JACKSON_1960,
                weld::source::CHRISTENSEN_1965,
                weld::source::ISO_9692_1,
            ]);
            (section, None)
        }
    };
    let uneven = uneven_butt(&joint.joint, &mut out);
    if out.expected.t85_s.is_some() && matches!(work.joint, Plates::Tee { .. }) {
        out.taken.push(format!(
            "the heat of a tee goes into (2 base + upright) / 3 = {:.1} mm, and the shape factors of EN 1011-2 for tees (our reading; the standard names no mean)",
            heat::sink(&work.joint).mm()
        ));
    }
    limits.extend(hardness_cautions(&work, asked, &out.expected, uneven));
    if asked.analysis.is_some() && work.metal == Metal::CarbonSteel {
        out.taken.push(
            "hydrogen 5 ml in 100 g of weld metal (HD 5), where a preheat is worked out".to_owned(),
        );
    }
    out.refusals = refused_at(started, out.expected.size_mm);
    let enough = goal.as_ref().and_then(|g| g.least_leg).zip(out.expected.size_mm);
    if let (Some((least, size)), Plates::Tee { angle, .. }) = (enough, work.joint)
        && size < least
        && out.expected.deposited_area_mm2 > 0.5 * least * least * angle.rad().sin()
    {
        // More metal would only pile up.
        for refused in out.refusals.iter_mut().filter(|r| r.effect != "condition") {
            refused.advice = "the metal is enough for it, but its toes do not reach as far: wobble wider or travel slower, so that they wet out".to_owned();
        }
    }
    if out.need.is_some() && goal.is_some() {
        // Without a throat no need is met.
        out.meets_need = out.meets_need.or(Some(false));
        // Outside the checked range nothing is told, where there is a weld at all.
        if out.expected.effective_throat_mm.is_some() && !out.checked_range.outside.is_empty() {
            (out.meets_need, out.meets_by) = (None, None);
        }
        if out.band.is_some() {
            let small = refused_at(started, out.expected.size_low_mm);
            out.meets_need_at_low =
                Some(out.meets_need_at_low == Some(true) && all_conditions(&small));
        }
    }
    // What one metal melts says nothing of another's need.
    if limits.iter().any(|l| l.what == ANOTHER_METAL) {
        (out.meets_need, out.meets_by, out.meets_need_at_low) = (None, None, None);
    }
    out.allowed = all_conditions(&out.refusals);
    if !out.allowed && out.need.is_some() {
        (out.meets_need, out.meets_by, out.meets_need_at_low) = (Some(false), None, Some(false));
    }
    out.warnings = limits.iter().map(limit_words).collect();
    out.sources = sources.into_iter().map(ClauseOut::from).collect();
    let laser = match process {
        AskedProcess::Laser(laser) => Some(laser),
        AskedProcess::Arc(_) => None,
    };
    Ok(Predicted { out, section, ends, laser, work })
}

/// A butt of two thicknesses cools quicker than one of the thinner, and no relation here is of that: nothing is said of it.
fn uneven_butt(joint: &Joint, out: &mut ExpectOut) -> bool {
    let Joint::Butt(butt) = joint else { return false };
    let [one, two] = butt.parts.each_ref().map(|p| p.thickness.mm());
    if (one - two).abs() <= 1e-6 {
        return false;
    }
    let e = &mut out.expected;
    (e.t85_s, e.t85_low_s, e.t85_high_s) = (None, None, None);
    (e.t85_en_1011_2_thick_s, e.t85_en_1011_2_thin_s, e.t85_conduction_s) = (None, None, None);
    (e.hardness_hv, e.hardness_low_hv, e.preheat_deg_c) = (None, None, None);
    (e.shrinkage_across_mm, e.shrinkage_across_low_mm, e.shrinkage_across_high_mm) =
        (None, None, None);
    out.taken.push(
        "the thinner plate on both sides for the melt; cooling, hardness, preheat and shrinkage of two thicknesses are not worked out: the thicker plate cools quicker and hardens more".to_owned(),
    );
    true
}

/// How a need is met.
pub(crate) const BY_THROAT: &str = "throat";
/// By the code's rule for tees of which little or nothing is left unfused.
pub(crate) const BY_FULL: &str = "full penetration";

fn laser_is_square(laser: &Laser) -> bool {
    (laser.torch_angle.deg() - 90.0).abs() < 0.5
}

/// Share of an arc's heat that its wire may take: usual feeds take a quarter to two fifths. A judgement, no source.
const HOT_ENOUGH: f64 = 0.5;

/// Where the relations of arcs were made.
const ARC_RANGE: &str = "30 to 700 A, 8 to 45 V, 1 to 50 mm/s; penetration of consumable electrodes: the published range of its constant is the band; TIG has none";

fn sources(metal: Metal) -> Vec<Source> {
    let mut out = vec![weld::source::SEAMPROOF_KEYHOLE];
    out.extend(metal.thermal().sources());
    if metal == Metal::CarbonSteel {
        out.push(weld::source::EN_1011_2_COOLING);
    }
    out
}

pub(crate) fn band_form(said: &Expected) -> Option<BandOut> {
    said.ends.as_ref()?;
    match said.melt.band {
        Band::Within { regime, factor } => {
            Some(BandOut { factor_90: factor, regime: regime.word() })
        }
        Band::Outside(_) => None,
    }
}

impl From<physics::search::Answers> for SensitivityOut {
    fn from(a: physics::search::Answers) -> Self {
        let end = |i: usize| a.band.map(|band| band[i]);
        Self {
            throat_mm: a.throat,
            throat_low_mm: end(0),
            throat_high_mm: end(1),
            change: a.change,
        }
    }
}

/// What the code refuses of fillets of a size (the lesser leg of the largest triangle inside them): a thin wire fails the
/// least leg whatever the depth.
fn refused_at(started: &Started, size_mm: Option<f64>) -> Vec<RefusalOut> {
    let Some(asked) = &started.asked.need else { return Vec::new() };
    let joint = match (&started.asked.joint, size_mm) {
        (Joint::Tee(tee), Some(size)) if tee.leg.is_none() => {
            let mut tee = tee.clone();
            // A fused skin without metal on it has no size; a tenth of a millimetre is the least that is taken.
            tee.leg = Some(Length::from_mm(size.max(0.1)));
            Joint::Tee(tee)
        }
        (joint, _) => joint.clone(),
    };
    let need = needed(&joint, &asked.load, &asked.code);
    need.map(|need| need.refusals.iter().map(refusal_form).collect()).unwrap_or_default()
}

/// Whether refusals leave it to conditions.
fn all_conditions(refusals: &[RefusalOut]) -> bool {
    refusals.iter().all(|r| r.effect == "condition")
}

/// t8/5 above which nothing is said of hardness where no analysis is given, s: a judgement, no source.
const SLOW_S: f64 = 15.0;

/// Metal's hardening, where there is an analysis.
fn hardness_cautions(
    work: &Work,
    asked: &AskedSetting,
    e: &ExpectedOut,
    uneven: bool,
) -> Vec<Limit> {
    if work.metal != Metal::CarbonSteel {
        return Vec::new();
    }
    let mut out = Vec::new();
    let Some(steel) = &asked.analysis else {
        if let Some(t) = e.t85_low_s.filter(|t| *t < SLOW_S) {
            out.push(Limit {
                what: "hardness",
                fact: format!(
                    "without the steel's analysis neither hardness nor preheat is worked out; cooling from 800 to 500 °C in {t:.1} s may make martensite of a carbon steel"
                ),
                advice: "give the steel's analysis from its certificate (steel = \"C 0.18, Si 0.3, Mn 1.4\"); test HV 10 on the first coupons, and preheat by your procedure",
            });
        }
        return out;
    };
    let heat_input = LineEnergy::from_kj_per_mm(e.heat_input_kj_per_mm);
    if !uneven && let Err(error) = preheat(work, steel, heat_input) {
        out.push(Limit {
            what: "preheat",
            fact: format!("none is worked out, which does not mean that none is needed: {error}"),
            advice: error.advice(),
        });
    }
    if steel.wants_hardness() {
        out.push(Limit {
            what: "hardness",
            fact: format!(
                "CE(IIW) {:.2} %, C {:.2} %: a hardness test is due before a procedure is written",
                steel.ce_iiw().percent(),
                steel.c.percent()
            ),
            advice: "test HV 10 on the first coupons",
        });
    }
    if let Some(hv) = e.hardness_hv
        && hv > heat::GREATEST_HARDNESS
    {
        out.push(Limit {
            what: "hardness",
            fact: format!(
                "about {hv:.0} HV expected beside the weld, more than the usual {:.0} (recalled)",
                heat::GREATEST_HARDNESS
            ),
            advice: "a leaner steel, or more heat for each length; preheat softens little under a beam, and your procedure may ask for it against cracks",
        });
    }
    out
}

fn complete(o: &Outcome) -> Option<bool> {
    let reading = o.reading.as_ref()?;
    match reading.joint.complete_penetration {
        Some(Answer::Yes) => Some(true),
        Some(Answer::No) => Some(false),
        _ => None,
    }
}

/// Preheat at 5 ml of hydrogen in 100 g; the thicker plate asks for more.
fn preheat(
    work: &Work,
    steel: &Composition,
    heat_input: LineEnergy,
) -> Result<Temperature, PreheatError> {
    let thickest = match work.joint {
        Plates::Bead { thickness } | Plates::Butt { thickness, .. } => thickness,
        Plates::Tee { base, upright, .. } => base.max(upright),
    };
    hardening::preheat(steel.cet(), thickest, 5.0, heat_input)
}

/// Cooling, hardness and shrinkage, alike for beam and arc. `heat_input` is what the joint takes up.
fn heat_effects(
    e: &mut ExpectedOut,
    work: &Work,
    asked: &AskedSetting,
    heat_input: LineEnergy,
    depth_mm: f64,
    beam: bool,
) {
    let thickness = heat::sink(&work.joint);
    if work.metal == Metal::CarbonSteel {
        let shape = Shape::of(&work.joint);
        if let Some(c) = heat::cooling(heat_input, thickness, work.temperature, shape) {
            e.t85_en_1011_2_thick_s = Some(c.thick);
            e.t85_en_1011_2_thin_s = Some(c.thin);
            e.transition_thickness_mm = Some(c.transition.mm());
            e.t85_s = Some(if beam { heat::beam_cooling(&c) } else { c.governs() });
        }
        let quick = matches!(work.joint, Plates::Tee { .. })
            .then(|| heat::cooling(heat_input, thickness, work.temperature, Shape::TEE_QUICK))
            .flatten()
            .map(|c| if beam { heat::beam_cooling(&c) } else { c.governs() });
        let m = work.metal.thermal();
        let (t0, hot, cool) = (work.temperature.k(), 1073.15, 773.15);
        let k = m.conductivity(t0, hot);
        let alpha = k / m.capacity(t0, hot);
        e.t85_conduction_s = conduction::cooling_time(
            heat_input.j_per_m() * shape.f3,
            k,
            alpha,
            1e-3 * depth_mm,
            thickness.m().max(1e-3 * depth_mm),
            [hot - t0, cool - t0],
        );
        if e.t85_s.is_some() {
            let standard = e.t85_en_1011_2_thick_s.zip(e.t85_en_1011_2_thin_s);
            let standard = standard.map(|(thick, thin)| thick.max(thin));
            let all = [e.t85_s, quick, standard, e.t85_conduction_s];
            e.t85_low_s = all.into_iter().flatten().reduce(f64::min);
            e.t85_high_s = all.into_iter().flatten().reduce(f64::max);
        }
    }
    if let Some(steel) = &asked.analysis {
        e.ce_iiw_percent = Some(steel.ce_iiw().percent());
        // The quickest cooling is the hardest.
        if let Some(h) = e.t85_low_s.and_then(|t| heat::hardness(steel, t)) {
            e.hardness_hv = Some(h.expected);
            e.hardness_martensite_hv = Some(h.martensite);
        }
        // Slower cooling is softer.
        e.hardness_low_hv = e.t85_high_s.and_then(|t| heat::hardness(steel, t)).map(|h| h.expected);
        e.preheat_deg_c = preheat(work, steel, heat_input).ok().map(|t| t.deg_c());
    }
    // All passes of a side of an arc's joint.
    let passes = f64::from(e.passes.unwrap_or(1));
    let (deposited, flange) = (e.deposited_area_mm2, Length::from_mm(100.0));
    let shrinks = |fused: f64, leg: Option<f64>| {
        let weld = Area::from_mm2(if beam { fused } else { deposited.max(fused) * passes });
        let leg = leg.map(Length::from_mm);
        heat::shrinkage(&work.joint, weld, Area::from_mm2(1e9), leg, flange, beam)
    };
    let s = shrinks(e.fused_area_mm2.unwrap_or(deposited), e.leg_base_mm);
    e.shrinkage_across_mm = s.across;
    e.warpage_100_mm_base_mm = s.warpage;
    if let (Some(low), Some(high)) = (e.fused_area_low_mm2, e.fused_area_high_mm2) {
        let (low, high) = (shrinks(low, e.leg_base_low_mm), shrinks(high, e.leg_base_high_mm));
        (e.shrinkage_across_low_mm, e.shrinkage_across_high_mm) = (low.across, high.across);
        (e.warpage_100_mm_base_low_mm, e.warpage_100_mm_base_high_mm) = (low.warpage, high.warpage);
    }
}

/// What to expect of a beam, as a form.
pub(crate) fn expected_form(
    laser: &Laser,
    work: &Work,
    said: &Expected,
    asked: &AskedSetting,
) -> ExpectedOut {
    let o = &said.middle;
    let low = said.ends.as_ref().map(|e| &e[0]);
    let high = said.ends.as_ref().map(|e| &e[1]);
    // A throat need not grow with depth and width (zones that meet share the joint line), and a deep zone need not be wide:
    // a figure's band is taken over the middle and all ends.
    let over = |of: &dyn Fn(&Outcome) -> Option<f64>| -> [Option<f64>; 2] {
        if said.ends.is_none() {
            return [None, None];
        }
        let all: Vec<Option<f64>> = said.band().chain([o]).map(of).collect();
        let some = || all.iter().copied().flatten();
        match some().reduce(f64::max) {
            None => [None, None],
            // Where an end has no throat (a narrower zone that misses), the band reaches to nothing.
            Some(high) if all.contains(&None) => [Some(0.0), Some(high)],
            Some(high) => [some().reduce(f64::min), Some(high)],
        }
    };
    // Of a tee the reach along the joint line, as far as the zone goes without the other: a butt's reading has it.
    let joint_line = match work.joint {
        Plates::Butt { both: true, thickness, .. } => Some(thickness.mm()),
        Plates::Tee { both: true, upright, angle, .. } => Some(upright.mm() / angle.rad().sin()),
        _ => None,
    };
    let overlap = |o: &Outcome| -> Option<f64> {
        let whole = joint_line?;
        match o.root_reach {
            Some(reach) => Some(2.0 * reach - whole),
            None => o.reading.as_ref()?.joint.overlap,
        }
    };
    // A zone that misses leaves all of it unfused.
    let overlaps = over(&|o: &Outcome| overlap(o).or(joint_line.map(|whole| -whole)));
    let widths = over(&|o: &Outcome| Some(o.width));
    let half_widths = over(&|o: &Outcome| Some(o.width_half));
    let throats = over(&Outcome::throat);
    let without_depth = over(&Outcome::throat_without_depth);
    let legs = [
        over(&|o: &Outcome| o.least(Reading::LegBase)),
        over(&|o: &Outcome| o.least(Reading::LegUpright)),
    ];
    let roots = over(&|o: &Outcome| o.least(Reading::RootPenetration));
    let fused = over(&|o: &Outcome| o.least(Reading::FusedArea));
    let melted = over(&|o: &Outcome| o.least(Reading::MeltedParentArea));
    // A weld that misses has no dilution at all, rather than none of it.
    let dilutions = match [low, high].map(|end| end?.least(Reading::Dilution)) {
        [Some(_), Some(_)] => over(&|o: &Outcome| o.least(Reading::Dilution)),
        _ => [None, None],
    };
    let joint = o.reading.as_ref().map(|r| &r.joint);
    let energy = laser.beam.power / laser.travel;
    let v = laser.travel.m_per_s();
    let mut e = ExpectedOut {
        mode: said.melt.mode.word(),
        penetration_mm: o.depth,
        penetration_low_mm: low.map(|l| l.depth),
        penetration_high_mm: high.map(|h| h.depth),
        through: said.melt.through,
        width_mm: o.width,
        width_low_mm: widths[0],
        width_high_mm: widths[1],
        width_half_depth_mm: Some(o.width_half),
        width_half_depth_low_mm: half_widths[0],
        width_half_depth_high_mm: half_widths[1],
        width_root_mm: o.width_root,
        root_penetration_mm: o.least(Reading::RootPenetration).or(o.root_reach),
        root_penetration_low_mm: roots[0],
        root_penetration_high_mm: roots[1],
        size_mm: o.size(),
        size_low_mm: over(&Outcome::size)[0],
        leg_base_mm: o.least(Reading::LegBase),
        leg_base_low_mm: legs[0][0],
        leg_base_high_mm: legs[0][1],
        leg_upright_mm: o.least(Reading::LegUpright),
        leg_upright_low_mm: legs[1][0],
        leg_upright_high_mm: legs[1][1],
        fused_area_mm2: o.least(Reading::FusedArea),
        fused_area_low_mm2: fused[0],
        fused_area_high_mm2: fused[1],
        melted_parent_area_mm2: o.least(Reading::MeltedParentArea),
        melted_parent_area_low_mm2: melted[0],
        melted_parent_area_high_mm2: melted[1],
        deposited_area_mm2: said.melt.deposit.mm2(),
        // No figure without its band.
        dilution: o
            .least(Reading::Dilution)
            .filter(|_| said.ends.is_none() || dilutions[0].is_some()),
        dilution_low: dilutions[0],
        dilution_high: dilutions[1],
        effective_throat_mm: o.throat(),
        effective_throat_low_mm: throats[0],
        effective_throat_high_mm: throats[1],
        theoretical_throat_mm: o.throat_without_depth(),
        theoretical_throat_low_mm: without_depth[0],
        theoretical_throat_high_mm: without_depth[1],
        unfused_land_mm: joint.and_then(|j| j.unfused_land),
        overlap_mm: overlap(o),
        overlap_low_mm: overlaps[0],
        overlap_high_mm: overlaps[1],
        complete_penetration: complete(o),
        as_full_penetration: joint.and_then(|j| match j.full_penetration_by_4_7_3 {
            Some(Answer::Yes) => Some(true),
            Some(Answer::No) => Some(false),
            _ => None,
        }),
        line_energy_kj_per_mm: energy.kj_per_mm(),
        heat_input_kj_per_mm: said.melt.heat / v * 1e-6,
        depth_along_cycle_mm: laser.wobble.map(|_| said.melt.along_cycle.map(|d| d * 1e3)),
        pitch_mm: laser.wobble.map(|w| w.pitch(laser.travel).mm()),
        path_speed_mm_per_s: laser.wobble.map(|w| w.mean_speed(laser.travel).mm_per_s()),
        irradiance_w_per_cm2: Some(laser.beam.irradiance().w_per_cm2()),
        rayleigh_mm: Some(laser.beam.rayleigh().mm()),
        ..ExpectedOut::default()
    };
    if let Affected::Wide { line, peak } = heat::affected(
        work.metal,
        said.melt.heat - said.melt.wire,
        said.melt.depth,
        v,
        laser.wobble.map_or(0.0, |w| w.width.m()),
        work.temperature.k(),
    ) {
        e.haz_width_line_source_mm = Some(line);
        e.haz_width_peak_law_mm = Some(peak);
    }
    let heat_input = LineEnergy::from_kj_per_mm(e.heat_input_kj_per_mm);
    heat_effects(&mut e, work, asked, heat_input, o.depth, true);
    e
}

/// What to expect of an arc, as a form.
fn arc_form(
    arc: &Arc,
    bead: &Bead,
    work: &Work,
    asked: &AskedSetting,
    goal: Option<&Goal>,
) -> (ExpectedOut, Option<Section>, Vec<Limit>) {
    let mut limits = Vec::new();
    let section = match arc.section(work) {
        // What the arc cannot melt is no weld.
        _ if bead.wire > 1.0 => {
            limits.push(Limit {
                what: "cold wire",
                fact: format!(
                    "to melt what is fed takes {:.0} % of all the heat that reaches the joint: it cannot be",
                    100.0 * bead.wire
                ),
                advice: "less wire, or the current that goes with this feed by the wire's own table",
            });
            None
        }
        Ok(section) => section,
        Err(e) => {
            limits.push(Limit { what: "no section", fact: e.to_string(), advice: e.advice() });
            None
        }
    };
    let thickness = thickness_of(work);
    if bead.depth > thickness {
        limits.push(Limit {
            what: "through",
            fact: format!(
                "a bead on plate would be {:.1} mm deep in {thickness:.1} mm of metal: it burns through",
                bead.depth
            ),
            advice: "less current, or faster travel",
        });
    } else if let Some([_, high]) = bead.ends.filter(|[_, high]| *high > thickness) {
        limits.push(Limit {
            what: "may come through",
            fact: format!(
                "at the high end of its band a bead on plate is {high:.1} mm deep in {thickness:.1} mm of metal"
            ),
            advice: "less current, or faster travel; back it where it is meant to go through",
        });
    }
    let reading = section.as_ref().and_then(|s| weld::section::read(s).ok());
    let least = |r: Reading| {
        let welds = &reading.as_ref()?.welds;
        welds.iter().filter_map(|w| w.readings.get(r)).reduce(f64::min)
    };
    let mut e = ExpectedOut {
        mode: "arc",
        penetration_mm: bead.depth.min(thickness),
        penetration_low_mm: bead.ends.map(|b| b[0].min(thickness)),
        penetration_high_mm: bead.ends.map(|b| b[1].min(thickness)),
        through: bead.depth > thickness,
        width_mm: bead.width,
        root_penetration_mm: least(Reading::RootPenetration),
        size_mm: least(Reading::SizeBase).zip(least(Reading::SizeUpright)).map(|(a, b)| a.min(b)),
        leg_base_mm: least(Reading::LegBase),
        leg_upright_mm: least(Reading::LegUpright),
        fused_area_mm2: least(Reading::FusedArea),
        melted_parent_area_mm2: least(Reading::MeltedParentArea),
        deposited_area_mm2: bead.deposit.mm2(),
        effective_throat_mm: least(Reading::EffectiveThroat),
        theoretical_throat_mm: least(Reading::TheoreticalThroat),
        line_energy_kj_per_mm: arc.arc_energy().kj_per_mm(),
        heat_input_kj_per_mm: arc.heat_input().kj_per_mm(),
        ..ExpectedOut::default()
    };
    let passes = |wanted: f64| (wanted / bead.deposit.mm2()).ceil().clamp(1.0, 1000.0) as u32;
    match work.joint {
        Plates::Butt { thickness, both, .. } => {
            let made = preparation(thickness, both);
            e.preparation = Some(made.words);
            let sides = if both { 2.0 } else { 1.0 };
            if bead.deposit.mm2() > 0.0 && bead.wire <= 1.0 {
                e.passes = Some(passes(made.metal.mm2() / sides));
                e.passes_of_all_sides = Some(passes(made.metal.mm2()).max(sides as u32));
                // Filled by its preparation, it is fused through: the procedure has to show it.
                let throat = thickness.mm() / sides;
                e.effective_throat_mm = Some(throat);
                e.theoretical_throat_mm = Some(throat);
                e.complete_penetration = Some(true);
                limits.push(Limit {
                    what: "preparation",
                    fact: format!(
                        "throat of the full thickness by its preparation, {}: {:.0} mm² of metal",
                        made.words,
                        made.metal.mm2()
                    ),
                    advice: "the arc's own procedure shows that the root fuses",
                });
            }
        }
        Plates::Tee { angle, .. } => {
            if let Some(goal) = goal
                && bead.deposit.mm2() > 0.0
            {
                // A triangle of throat a: a² tan(ψ/2).
                let metal = goal.throat * goal.throat * (0.5 * angle.rad()).tan();
                e.passes = Some(passes(metal));
            }
            limits.push(Limit {
                what: "no credit for depth",
                fact: "an arc fillet counts as the triangle of its deposit".to_owned(),
                advice: "depth of an arc fillet is credited on trials only, as a beam's is",
            });
        }
        Plates::Bead { .. } => {}
    }
    heat_effects(&mut e, work, asked, arc.heat_input(), bead.depth, false);
    (e, section, limits)
}

/// The metal under an arc, mm; of a tee the thinner plate.
fn thickness_of(work: &Work) -> f64 {
    match work.joint {
        Plates::Bead { thickness } | Plates::Butt { thickness, .. } => thickness.mm(),
        Plates::Tee { base, upright, .. } => base.min(upright).mm(),
    }
}

/// A setting as its file has it.
#[must_use]
pub fn setting_form(laser: &Laser) -> SettingOut {
    let text = |value: f64, unit: &str| format!("{} {unit}", significant(value, 4));
    SettingOut {
        process: "521",
        power: text(laser.beam.power.w(), "W"),
        spot: text(laser.beam.spot.um(), "um"),
        m2: laser.beam.m2,
        wavelength: text(laser.beam.wavelength.nm(), "nm"),
        focus: text(laser.beam.focus.mm(), "mm"),
        travel: text(laser.travel.mm_per_s(), "mm/s"),
        torch_angle: text(laser.torch_angle.deg(), "deg"),
        aim: text(laser.aim.mm(), "mm"),
        wobble: match laser.wobble {
            None => WobbleOut { pattern: "none", width: None, frequency: None },
            Some(w) => WobbleOut {
                pattern: w.pattern.word(),
                width: Some(text(w.width.mm(), "mm")),
                frequency: Some(text(w.frequency.hz(), "Hz")),
            },
        },
        wire: laser.wire.map(|(wires, feed)| WireOut {
            diameter: text(wires.diameter.mm(), "mm"),
            count: wires.count,
            feed: match feed {
                Feed::AsTravel => "travel".to_owned(),
                Feed::At(speed) => text(speed.mm_per_s(), "mm/s"),
            },
        }),
    }
}

/// What a metre of one weld, one pass, takes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PerMetre {
    pub(crate) time_s: f64,
    pub(crate) wire_kg: f64,
    pub(crate) gas_l: Option<f64>,
    pub(crate) kwh: f64,
}

/// Share of the wall's electricity that becomes beam or arc. Common practice, no source.
pub(crate) const FROM_THE_WALL: [(&str, f64); 2] = [("laser", 0.30), ("arc", 0.80)];

pub(crate) fn per_metre(process: &AskedProcess, asked: &AskedSetting, work: &Work) -> PerMetre {
    // Wire is weighed cold; the melt's one density is that of hot metal.
    let density = match work.metal {
        Metal::CarbonSteel => 7850.0,
        Metal::Austenitic => 7900.0,
        _ => work.metal.thermal().density.value,
    };
    let (travel, power, share, wire) = match process {
        AskedProcess::Laser(l) => (l.travel, l.beam.power.w(), FROM_THE_WALL[0].1, l.wire),
        AskedProcess::Arc(a) => (a.travel, a.power().w(), FROM_THE_WALL[1].1, a.wire),
    };
    let time_s = 1.0 / travel.m_per_s();
    let fed = wire.and_then(|(w, feed)| {
        let ratio = match feed {
            Feed::AsTravel => 1.0,
            Feed::At(speed) => speed / travel,
        };
        w.area().ok().map(|a| a.m2() * ratio)
    });
    PerMetre {
        time_s,
        wire_kg: fed.unwrap_or(0.0) * density,
        gas_l: asked.gas_flow.map(|g| g.l_per_min() * time_s / 60.0),
        kwh: power / share * time_s / 3.6e6,
    }
}

pub(crate) fn cost(one: &PerMetre, rates: &Rates) -> f64 {
    one.time_s / 3600.0 * (rates.labour_per_h + rates.machine_per_h)
        + one.kwh * rates.energy_per_kwh
        + one.gas_l.unwrap_or(0.0) * 1e-3 * rates.gas_per_m3
        + one.wire_kg * rates.wire_per_kg
}
