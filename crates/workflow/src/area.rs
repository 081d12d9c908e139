//! `area`: who may stand where, behind what, wearing what?
//!
//! Rooms do the sums: [`safety`] from what the setup file says, and nothing else. What is printed, by the command line
//! and on the plan, is worded once, in [`says`], so the two agree to the last digit.

pub mod plan;
pub mod says;

use crate::files;
use crate::read::beside;
use crate::refusal::Refusal;
pub use crate::wire::area::AreaOut;
use crate::wire::area::{
    AreaSettingOut, CurtainOut, EyewearOut, FindSetting, FumeLimitOut, FumeOut, PilotOut,
    PulsedOut, Says, Setup, Shape, WayOutOut, setup_from_toml,
};
use safety::OutOfRange;
use safety::beam::{Spread, Width, WidthAt, ideal_bpp_mm_mrad};
use safety::distance::{
    Limits, Mirror, Reach, diffuse, direct, irradiance, limits, mirrored_at_most, scattered,
};
use safety::exposure::{BLINK_TIME, PUPIL, disc};
use safety::eyewear::{Checked, Scale, Verdict, check, needed_od, od_whole_beam, scale};
use safety::gas::{AIR, FIRST_ALARM, Oxygen, SECOND_ALARM, emptied};
use safety::room::{Place, WayOut};
use safety::{barrier, fume, shade};
use std::path::Path;
use weld::quantity::{Angle, Duration, GasFlow, Irradiance, Length, Share};

/// How far the eyes of whoever holds the torch are from the work, nearest and farthest: common practice, no source.
pub(crate) const OPERATOR: [Length; 2] = [Length::from_m(0.3), Length::from_m(0.6)];

/// A setup file answered.
#[derive(Debug)]
pub struct Area {
    /// What was asked.
    pub setup: Setup,
    /// What was worked out, as nouns.
    pub worked: Worked,
    /// The form of the answer.
    pub out: AreaOut,
}

/// What was worked out.
#[derive(Clone, Debug)]
pub struct Worked {
    /// What eye and skin may take.
    pub limits: Limits,
    /// The bare beam.
    pub bare: Option<Reach>,
    /// Beyond the focus.
    pub focused: Option<Reach>,
    /// From the fibre's end.
    pub fibre: Option<Reach>,
    /// The ways in which the beam spreads at work, the fibre's end apart; none: not known.
    pub widths: Vec<Width>,
    /// The mirrored beam; none without a spread or for a hollow surface.
    pub mirrored: Option<Reach>,
    /// The diffuse reflection.
    pub diffuse: Reach,
    /// The farther of bare beam and beyond the focus, were all widths measured at 1/e²; none where it was said at what.
    pub far_at_e2: Option<Length>,
    /// The diffuse reflection where the operator's eyes are.
    pub at_operator: Irradiance,
    /// Width of the beam on the eyewear, at 1/e.
    pub spot: Length,
    /// What eyewear must carry.
    pub scale: Scale,
    /// The pair at hand.
    pub pair: Option<Checked>,
    /// Each curtain.
    pub curtains: Vec<CurtainWorked>,
    /// Where the beam can leave the room, each with the torch's place that it is seen from.
    pub ways_out: Option<Vec<(Place, WayOut)>>,
    /// Oxygen while gas flows.
    pub oxygen: Option<Oxygen>,
    /// Oxygen with the leak alone.
    pub leak: Option<Oxygen>,
    /// Oxygen after a weekend with the leak alone, the room closed and its air standing.
    pub leak_closed: Option<Share>,
    /// Oxygen after a cylinder has emptied itself.
    pub emptied: Option<Share>,
    /// Least and most air that the hood must draw.
    pub hood: Option<[GasFlow; 2]>,
}

impl Worked {
    /// The longest of the direct distances at work, for the eye: bare beam or beyond the focus.
    #[must_use]
    pub fn far(&self) -> Option<Length> {
        [self.bare, self.focused].into_iter().flatten().map(|r| r.eye).max_by(Length::total_cmp)
    }

    /// The longest that a beam endangers eyes, straight or mirrored by the work; none when it is not known: without a
    /// spread, or about a hollow surface, which may gather the beam again.
    #[must_use]
    pub fn longest(&self) -> Option<Length> {
        Some(self.far()?.max(self.mirrored?.eye))
    }

    /// The direct beam on a curtain at a distance, by the way of spreading that is the narrowest there.
    #[must_use]
    pub fn on_curtain(&self, setup: &Setup, at: Length) -> Option<Irradiance> {
        on_curtain(setup, &self.widths, at)
    }
}

/// A curtain held against the beam.
#[derive(Clone, Debug)]
pub struct CurtainWorked {
    /// The direct beam on it.
    pub direct: Option<Irradiance>,
    /// The diffuse reflection on it.
    pub diffuse: Irradiance,
    /// How long its rating lasts against the direct beam.
    pub lasts: Option<Duration>,
    /// What passes it.
    pub passes: barrier::Passes,
}

impl CurtainWorked {
    /// Whether it lasts until somebody who watches has switched off.
    #[must_use]
    pub fn stands(&self) -> bool {
        self.lasts.is_some_and(|t| t >= barrier::WATCHED.value)
    }
}

/// Reads a setup file and works the area out.
///
/// # Errors
///
/// Says file, line, field, fact and next action.
pub fn area(path: &Path) -> Result<Area, Refusal> {
    let find = |name: &str| files::text(&beside(path, name));
    from_text(path.display().to_string(), &files::text(path)?, &find)
}

/// The same from the text of a setup file; `find` gives the text of the setting that it names.
///
/// # Errors
///
/// As [`area`].
pub fn from_text(file: String, text: &str, find: &FindSetting<'_>) -> Result<Area, Refusal> {
    let setup = setup_from_toml(&file, text, find)?;
    let worked = work(&setup).map_err(|e| setup.place(&e).in_file(&file))?;
    let fingerprint = fingerprint(text, &setup);
    let mut out = form(file, &setup, &worked, fingerprint);
    out.taken.extend(says::taken(&setup, &worked));
    out.against = says::against(&setup, &worked, &out);
    out.says = says::says(&setup, &worked, &out);
    Ok(Area { setup, worked, out })
}

/// The strongest that the direct beam may lay on a curtain. A pulse that lasts as long as continuous light is counted by its
/// peak: it burns through by itself.
fn on_curtain(setup: &Setup, widths: &[Width], at: Length) -> Option<Irradiance> {
    let mean = setup.beam.power;
    let power = setup.pulses.filter(|p| p.duration >= BLINK_TIME.value).map_or(mean, |p| {
        let on = p.duration.s() * p.frequency.hz();
        p.peak.unwrap_or(mean * on.max(1e-9).recip()).max(mean)
    });
    widths.iter().map(|w| barrier::on_curtain(power, w, at)).max_by(Irradiance::total_cmp)
}

/// The narrowest that the beam may be on the eyewear: what is given or taken, or what it is where the wearer is; whoever holds
/// the torch, where nobody says.
fn on_eyewear(setup: &Setup, widths: &[Width]) -> Length {
    let worn = &setup.eyewear;
    let at = |at: Length| {
        let there = |w: &Width| w.at(at).max(barrier::NARROWEST.value);
        widths.iter().map(there).min_by(Length::total_cmp)
    };
    at(worn.at.unwrap_or(OPERATOR[0])).map_or(worn.spot, |there| there.min(worn.spot))
}

fn work(setup: &Setup) -> Result<Worked, OutOfRange> {
    let beam = &setup.beam;
    let limits = limits(beam, setup.time)?;
    let reach = |spread: &Option<Spread>| {
        spread.as_ref().map(|s| direct(beam.power, s, &limits)).transpose()
    };
    let widths = [&setup.bare, &setup.focused]
        .into_iter()
        .flatten()
        .map(Spread::width)
        .collect::<Result<Vec<_>, _>>()?;
    let mirror = match setup.work.shape {
        Shape::Flat => Some(Mirror::Flat),
        Shape::Tube(radius) => Some(Mirror::Tube { radius }),
        Shape::Ball(radius) => Some(Mirror::Ball { radius }),
        Shape::Hollow => None,
    };
    let ideal = ideal_bpp_mm_mrad(beam.light.wavelength()).value;
    let bpp = setup.work.m2.map(|m2| m2 * ideal);
    let thrown = mirror
        .map(|mirror| {
            let by = |w: &Width| {
                let (share, on_work) = (setup.work.mirrored, setup.work.beam_on_work);
                let spread = Angle::from_rad(w.per_metre);
                mirrored_at_most(beam, share, on_work, spread, mirror, bpp, &limits)
            };
            widths.iter().map(by).collect::<Result<Vec<_>, _>>()
        })
        .transpose()?
        .and_then(|reaches| reaches.into_iter().reduce(Reach::farther));
    if let Some(at) = setup.eyewear.at {
        // A wearer at no distance is refused here.
        scattered(beam.power, &setup.scatter, at)?;
    }
    let spot = on_eyewear(setup, &widths);
    let scale = scale(beam, &limits, spot)?;
    let curtains = setup
        .curtains
        .iter()
        .map(|c| {
            let direct = on_curtain(setup, &widths, c.distance);
            let hangs = barrier::Hangs { distance: c.distance, top: c.top, gap: c.gap };
            Ok(CurtainWorked {
                direct,
                diffuse: scattered(beam.power, &setup.scatter, c.distance)?,
                lasts: direct.and_then(|e| barrier::lasts(&c.rating, e)),
                passes: barrier::passes(&hangs, setup.torch_height)?,
            })
        })
        .collect::<Result<Vec<_>, OutOfRange>>()?;
    let far = [reach(&setup.bare)?, reach(&setup.focused)?];
    let farthest = far.iter().flatten().map(|r| r.eye).max_by(Length::total_cmp);
    let longest = farthest.zip(thrown).map(|(far, mirrored)| far.max(mirrored.eye));
    let ways_out = setup.room.as_ref().map(|room| {
        let hung: Vec<_> = setup
            .curtains
            .iter()
            .zip(&curtains)
            .filter_map(|(c, w)| Some((c.piece?, w.stands() && !w.passes.over_at_eye_height)))
            .collect();
        // A reach that is not known, of a beam without a spread or about a hollow surface, is taken to be without end.
        let reach = longest.unwrap_or(Length::from_m(1e6));
        let from = |torch: &Place| {
            let torch = *torch;
            room.plan(torch, &hung).ways_out(reach).into_iter().map(move |way| (torch, way))
        };
        room.torches.iter().flat_map(from).collect()
    });
    let far_at_e2 = if setup.widths_unsaid {
        let narrow = WidthAt::OneOverESquared.to_one_over_e();
        [&setup.bare, &setup.focused]
            .into_iter()
            .flatten()
            .map(|s| direct(beam.power, &s.narrowed(narrow), &limits).map(|r| r.eye))
            .collect::<Result<Vec<_>, _>>()?
            .into_iter()
            .max_by(Length::total_cmp)
    } else {
        None
    };
    let gas = setup.gas.as_ref();
    let breathed = |inflow: GasFlow| gas.map(|g| g.room_air(inflow).oxygen(AIR.value)).transpose();
    let flowing = gas.filter(|g| g.flows).map(|g| g.flow + g.leak);
    let leaking = gas.map(|g| g.leak).filter(|q| *q > GasFlow::ZERO);
    Ok(Worked {
        limits,
        bare: far[0],
        focused: far[1],
        fibre: reach(&setup.fibre)?,
        widths,
        mirrored: thrown,
        diffuse: diffuse(beam, &setup.scatter, &limits)?,
        pair: setup.eyewear.marking.as_ref().map(|(_, m)| check(&m.marks, beam, &scale)),
        far_at_e2,
        at_operator: scattered(beam.power, &setup.scatter, OPERATOR[0])?,
        spot,
        scale,
        curtains,
        ways_out,
        oxygen: match flowing {
            Some(q) => breathed(q)?,
            None => None,
        },
        leak: match leaking {
            Some(q) => breathed(q)?,
            None => None,
        },
        leak_closed: match (gas, leaking) {
            (Some(g), Some(q)) => {
                let still = safety::gas::Room { changes_per_hour: 0.0, ..g.room_air(q) };
                Some(still.oxygen(AIR.value)?.after(safety::gas::WEEKEND.value))
            }
            _ => None,
        },
        emptied: match gas.and_then(|g| Some((g.most_at_once()?, g.room))) {
            Some((cylinder, room)) => Some(emptied(cylinder, room, AIR.value)?),
            None => None,
        },
        hood: match setup.fume.as_ref().and_then(|f| f.hood) {
            None => None,
            Some(hood) => {
                let wanted = match hood.velocity {
                    Some(v) => [v, v],
                    None => fume::CAPTURE.map(|c| c.value),
                };
                let opening = hood.sides[0] * hood.sides[1];
                let flow = |v| fume::hood_flow(v, hood.distance, opening, hood.flanged);
                Some([flow(wanted[0])?, flow(wanted[1])?])
            }
        },
    })
}

/// What stands on a plan so that a change shows: the setup without what is said of plan and signature, with the figures
/// that its setting lends. Blanks, comments, the order of fields, and what else the setting says count nothing.
fn fingerprint(text: &str, setup: &Setup) -> String {
    let mut table: toml::Table = toml::from_str(text).unwrap_or_default();
    for said_elsewhere in ["signed", "paper", "setting"] {
        table.remove(said_elsewhere);
    }
    for (field, figure) in setup.lent() {
        table.insert(field.to_owned(), figure.into());
    }
    let hash = blake3::hash(toml::to_string(&table).unwrap_or_default().as_bytes());
    hash.to_hex().as_str().chars().take(12).collect()
}

/// Whether two fingerprints are one, however they were typed.
fn same(one: &str, other: &str) -> bool {
    let bare = |t: &str| {
        t.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_ascii_lowercase()
    };
    bare(one) == bare(other)
}

fn form(file: String, setup: &Setup, worked: &Worked, fingerprint: String) -> AreaOut {
    let (beam, limits) = (&setup.beam, &worked.limits);
    let eye = |r: &Option<Reach>| r.map(|r| r.eye.m());
    let skin = |r: &Option<Reach>| r.map(|r| r.skin.m());
    let lens = match setup.focused {
        Some(Spread::Focused { focal_length, .. }) => focal_length.m(),
        _ => 0.0,
    };
    let at = setup.eyewear.at;
    let limit = limits.eye.irradiance.w_per_m2();
    let od = |e: Irradiance| needed_od(e.w_per_m2(), limit);
    let shade = setup.arc.and_then(|(arc, amperes)| shade::least(arc, amperes).ok());
    let curtains: Vec<CurtainOut> = setup
        .curtains
        .iter()
        .zip(&worked.curtains)
        .map(|(c, w)| CurtainOut {
            name: c.name.clone(),
            distance_m: c.distance.m(),
            direct_w_per_m2: w.direct.map(Irradiance::w_per_m2),
            diffuse_w_per_m2: w.diffuse.w_per_m2(),
            lasts_s: w.lasts.map(Duration::s),
            stands: w.stands(),
            over_at_eye_height: w.passes.over_at_eye_height,
            under_reaches_m: w.passes.under_reaches.map(Length::m),
        })
        .collect();
    let far = worked.longest();
    let ways_out = worked.ways_out.as_ref().zip(setup.room.as_ref()).map(|(ways, room)| {
        ways.iter()
            .map(|(torch, w)| WayOutOut {
                torch_m: [torch.x.m(), torch.y.m()],
                opening: room.openings.get(w.opening).map_or_else(String::new, |o| o.name.clone()),
                from_deg: w.from.deg(),
                to_deg: w.to.deg(),
                distance_m: w.distance.m(),
                beyond_m: far.map(|f| (f - w.distance).m().max(0.0)),
            })
            .collect()
    });
    let beam_changed = setup
        .signed
        .as_ref()
        .and_then(|s| s.beam.as_ref())
        .map_or_else(Vec::new, |before| setup.beam_said.changed_from(before));
    let alarm = |level: Share| worked.oxygen.and_then(|o| o.falls_to(level)).map(Duration::s);
    AreaOut {
        file,
        power_w: beam.power.w(),
        wavelength_nm: beam.light.wavelength().nm(),
        exposure_s: setup.time.s(),
        mpe_eye_w_per_m2: limit,
        mpe_skin_w_per_m2: limits.skin.irradiance.w_per_m2(),
        skin_limit_for_distance_w_per_m2: limits.skin_for_distance.w_per_m2(),
        c4: beam.light.c4,
        c7: beam.light.c7,
        nohd_m: eye(&worked.bare),
        nohd_skin_m: skin(&worked.bare),
        hazard_beyond_focus_m: eye(&worked.focused),
        hazard_from_lens_m: eye(&worked.focused).map(|r| r + lens),
        skin_beyond_focus_m: skin(&worked.focused),
        fibre_end_m: eye(&worked.fibre),
        fibre_end_skin_m: skin(&worked.fibre),
        far_side_m: far.map(Length::m),
        mirrored_m: eye(&worked.mirrored),
        mirrored_skin_m: skin(&worked.mirrored),
        diffuse_hazard_m: worked.diffuse.eye.m(),
        diffuse_skin_m: worked.diffuse.skin.m(),
        pilot: pilot(setup, worked),
        needed_od_whole_beam: od_whole_beam(beam.power, limits.eye.irradiance),
        needed_od_at_distance: at.and_then(|at| {
            let strike = |w: &Width| irradiance(beam.power, w, at, PUPIL.value);
            worked.widths.iter().map(strike).max_by(Irradiance::total_cmp).map(od)
        }),
        needed_od_diffuse_operator: od(worked.at_operator),
        needed_od_diffuse: at.and_then(|at| scattered(beam.power, &setup.scatter, at).ok()).map(od),
        eyewear_spot_mm: worked.spot.mm(),
        eyewear_power_density_w_per_m2: worked.scale.density.w_per_m2(),
        en207_scale: worked.scale.needed(),
        en207_by_power_density: worked.scale.by_density,
        en207_by_optical_density: worked.scale.by_od,
        en207_pulsed: worked
            .scale
            .pulsed
            .map(|(mode, scale)| PulsedOut { mode: mode.letter(), scale }),
        en207_wide_beam: worked.scale.wide_beam,
        en207_exists: worked.scale.exists(),
        eyewear: setup.eyewear.marking.as_ref().zip(worked.pair.as_ref()).map(
            |((marking, read), pair)| EyewearOut {
                marking: marking.clone(),
                holds: pair.verdict == Verdict::Holds,
                holds_wide_beam: pair.wide_beam,
                beside: read.beside.clone(),
                why: match &pair.verdict {
                    Verdict::Holds => Vec::new(),
                    Verdict::Not(why) => why.clone(),
                },
            },
        ),
        shade_least: shade.map(|s| s.value),
        shade_luminous_percent: shade.map(|s| shade::luminous(f64::from(s.value)).percent()),
        curtains,
        ways_out,
        oxygen_percent_steady: worked.oxygen.map(|o| o.steady().percent()),
        oxygen_percent_after_1h: worked.oxygen.map(|o| o.after(Duration::from_h(1.0)).percent()),
        oxygen_first_alarm_after_s: alarm(FIRST_ALARM.value),
        oxygen_second_alarm_after_s: alarm(SECOND_ALARM.value),
        oxygen_percent_leak_steady: worked.leak.map(|o| o.steady().percent()),
        oxygen_percent_leak_weekend_closed: worked.leak_closed.map(Share::percent),
        oxygen_percent_cylinder_emptied: worked.emptied.map(Share::percent),
        fume: setup.fume.as_ref().map(|f| {
            fume::expected(f.parent.1, f.wire.1)
                .into_iter()
                .map(|c| FumeOut {
                    what: c.words()[0],
                    does: c.words()[1],
                    limits: fume::LIMITS
                        .iter()
                        .filter(|l| l.of == c)
                        .map(|l| FumeLimitOut {
                            value: l.value.value,
                            unit: l.unit(),
                            kind: l.kind,
                            jurisdiction: l.jurisdiction,
                            source: says::cited(&l.value.source),
                        })
                        .collect(),
                })
                .collect()
        }),
        hood_flow_m3_per_h: worked.hood.map(|h| h.map(GasFlow::m3_per_h)),
        setting: setup.setting.as_ref().map(|s| AreaSettingOut {
            name: s.name.clone(),
            power_w: s.beam.power.map_or(0.0, |p| p.w()),
            wavelength_nm: s.beam.wavelength.map_or(0.0, |l| l.nm()),
            taken: s.lent.clone(),
        }),
        changed_since_signed: setup
            .signed
            .as_ref()
            .map(|s| !same(&s.fingerprint, &fingerprint) || !beam_changed.is_empty()),
        beam_changed,
        fingerprint,
        against: Vec::new(),
        taken: setup.taken.clone(),
        class: beam.class().words(),
        says: Says {
            signed: None,
            answers: Vec::new(),
            parts: Vec::new(),
            checks: Vec::new(),
            etchants: Vec::new(),
            etching_always: Vec::new(),
            cautions: Vec::new(),
        },
    }
}

fn pilot(setup: &Setup, worked: &Worked) -> Option<PilotOut> {
    let pilot = setup.pilot?;
    let limits = limits(&pilot.beam, pilot.time).ok()?;
    let limit = limits.eye.irradiance;
    let far = worked
        .widths
        .iter()
        .filter_map(|w| safety::distance::reach(pilot.beam.power, w, limit, PUPIL.value).ok())
        .max_by(Length::total_cmp);
    Some(PilotOut {
        power_w: pilot.beam.power.w(),
        wavelength_nm: pilot.beam.light.wavelength().nm(),
        exposure_s: pilot.time.s(),
        mpe_eye_w_per_m2: limit.w_per_m2(),
        permitted_through_pupil_w: (limit * disc(PUPIL.value)).w(),
        hazard_m: far.map(Length::m),
    })
}
