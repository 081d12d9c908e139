//! What page and plan print: worded and rounded once.
//!
//! Distances, power densities and needs go up, limits and oxygen go down. No formula stands here.

use super::{OPERATOR, Worked};
use crate::wire::area::{
    AreaOut, EtchantOut, GasKind, Hood, PartOut, RowOut, Says, Setup, Shape, WayOutOut,
};
use safety::barrier::EYES;
use safety::beam::{CLASS_2, Class, LEAST_POWER, MOST_POWER, WidthAt};
use safety::eyewear::{HIGHEST, LEAST_LUMINOUS, transmittance};
use safety::gas::{ARGON_TO_AIR, FIRST_ALARM, HELIUM_TO_AIR, NITROGEN_TO_AIR, SECOND_ALARM};
use safety::{barrier, checks, distance, etch, exposure, eyewear, fume, gas, room, shade};
use weld::quantity::show::{Rounding, show_in, significant};
use weld::quantity::{Duration, GasFlow, Irradiance, Length, Power, Share, Volume};
use weld::source::{self, Seen, Source, WELDING_FUME_CANCER};

/// What is said where nothing speaks against an area.
pub const NOTHING_AGAINST: &str = "Nothing in what was entered. The check list is not looked at here: it is ticked on site, and decides as well.";

/// Below this share no metal throws light back: common practice, no source.
const DARKEST: Share = Share::from_percent(10.0);
/// Below this share no bright plate and no pool of melt mirrors: common practice, no source.
const DULLEST: Share = Share::from_percent(1.0);
/// The widest that a beam is on its last lens, focal lengths: common practice, no source.
const WIDEST_ON_LENS: f64 = 0.3;
/// Pulses shorter than this do not heat a curtain as continuous light does.
const BRIEF: Duration = Duration::from_s(1e-6);
/// The widest that a weld lights up: common practice, no source.
const WIDEST_SPOT: Length = Length::from_mm(50.0);
/// Most changes of air in an hour that a hall has: common practice, no source.
const MOST_CHANGES: f64 = 60.0;
/// Least of an opening's sides to each other for which the relation of a hood holds: a slot draws otherwise. Common practice,
/// no source.
const SLOT: f64 = 0.2;
/// Shorter than this nobody is exposed to a beam that is not seen and that nothing turns him away from, s.
const UNSEEN_LEAST_S: f64 = 10.0;

/// A distance, rounded up: to three or four figures, because nothing that it rests on is known better.
pub(crate) fn far(length: Length) -> String {
    let m = length.m();
    let up = |decimals, unit| show_in(length, Rounding::Up, decimals, unit);
    match m {
        m if !m.is_finite() => up(0, "m"),
        ..=0.0 => "0 m".to_owned(),
        ..10.0 => format!("{} ({})", up(2, "m"), up(1, "ft")),
        ..100.0 => format!("{} ({})", up(1, "m"), up(0, "ft")),
        // A foot is 0.3048 m, a mile 5280 of them.
        ..300.0 => format!("{} ({})", up(0, "m"), up(0, "ft")),
        ..1e4 => format!(
            "{} m ({} ft)",
            figures(m, 3, Rounding::Up),
            figures(m / 0.3048, 4, Rounding::Up)
        ),
        _ => format!(
            "{} km ({} mi)",
            figures(m / 1e3, 3, Rounding::Up),
            figures(m / 1609.344, 3, Rounding::Up)
        ),
    }
}

/// So many figures, rounded one way.
fn figures(v: f64, count: i32, rounding: Rounding) -> String {
    if !(v.is_finite() && v > 0.0) {
        return significant(v, 3);
    }
    let size = v.log10().floor() as i32;
    let step = 10_f64.powi(size + 1 - count);
    let n = v / step;
    let n = match rounding {
        Rounding::Up => (n - 1e-9 * n).ceil(),
        Rounding::Down => (n + 1e-9 * n).floor(),
        Rounding::Nearest => n.round(),
    };
    let decimals = usize::try_from(count - 1 - size).unwrap_or(0);
    format!("{:.decimals$}", n * step)
}

/// How far bare skin is endangered.
fn skin(reach: Length) -> String {
    if reach.m() > 0.0 {
        format!("bare skin for {}", far(reach))
    } else {
        "bare skin nowhere".to_owned()
    }
}

/// The same in a table.
fn reach(length: Length) -> String {
    if length.m() > 0.0 { far(length) } else { "none".to_owned() }
}

/// A place on the plan, as it was given.
fn placed(length: Length) -> String {
    show_in(length, Rounding::Nearest, 2, "m")
}

/// What may be borne, rounded down.
fn limit(e: Irradiance) -> String {
    density_of(e, Rounding::Down)
}

/// What strikes something, rounded up.
fn density(e: Irradiance) -> String {
    density_of(e, Rounding::Up)
}

fn density_of(e: Irradiance, rounding: Rounding) -> String {
    let v = e.w_per_m2();
    let in_unit = |unit: &str, size: f64| {
        let decimals = match v / size {
            ..1.0 => 3,
            ..10.0 => 2,
            ..100.0 => 1,
            _ => 0,
        };
        show_in(e, rounding, decimals, unit)
    };
    let beside = || match v {
        ..1e6 => format!("{} kW/m²", figures(v / 1e3, 3, rounding)),
        ..1e9 => format!("{} MW/m²", figures(v / 1e6, 3, rounding)),
        _ => format!("{} GW/m²", figures(v / 1e9, 3, rounding)),
    };
    match v {
        ..1e4 => format!("{} ({})", in_unit("W/m²", 1.0), in_unit("mW/cm²", 10.0)),
        ..1e7 => format!("{} ({})", in_unit("W/cm²", 1e4), beside()),
        _ => format!("{} ({})", in_unit("kW/cm²", 1e7), beside()),
    }
}

/// A name at the beginning of a sentence.
fn capital(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A number, rounded up to two decimals.
fn up2(x: f64) -> String {
    // Nothing is no less than nothing: -0.00 is printed by nobody.
    format!("{:.2}", (x * 100.0 - 1e-9).ceil() / 100.0 + 0.0)
}

fn power(p: Power) -> String {
    let w = p.w();
    match w {
        ..1.0 => format!("{} mW", significant(1e3 * w, 4)),
        ..1e3 => format!("{} W", significant(w, 4)),
        _ => format!("{} kW", significant(w / 1e3, 4)),
    }
}

fn nm(wavelength: Length) -> String {
    format!("{} nm", significant(wavelength.nm(), 5))
}

fn oxygen(share: Share) -> String {
    show_in(share, Rounding::Down, 2, "%")
}

/// A time that something lasts, rounded down.
fn lasts(time: Duration) -> String {
    let down = |decimals, unit| show_in(time, Rounding::Down, decimals, unit);
    match time.s() {
        ..120.0 => down(if time.s() < 10.0 { 2 } else { 0 }, "s"),
        ..7200.0 => down(0, "min"),
        _ => down(1, "h"),
    }
}

/// How long a pulse lasts.
fn brief_time(time: Duration) -> String {
    let s = time.s();
    match s {
        ..1e-6 => format!("{} ns", significant(1e9 * s, 4)),
        ..1e-3 => format!("{} µs", significant(1e6 * s, 4)),
        ..1.0 => format!("{} ms", significant(1e3 * s, 4)),
        _ => format!("{} s", significant(s, 4)),
    }
}

fn hourly(flow: GasFlow) -> String {
    format!(
        "{} ({})",
        show_in(flow, Rounding::Up, 0, "m³/h"),
        show_in(flow, Rounding::Up, 0, "ft³/min")
    )
}

/// A source as it is cited in a line.
#[must_use]
pub fn cited(source: &Source) -> String {
    let seen = match source.seen {
        Seen::Read => String::new(),
        Seen::QuotedBy(by) => format!(" (quoted by {by})"),
        Seen::Recalled => " (Recalled)".to_owned(),
    };
    format!("{}, {}{seen}", source.title, source.place)
}

/// The same in a table's narrow column: the standard's number, and whether it is from memory or known by another's quoting.
fn brief(source: &Source) -> String {
    let name = source.title.split(", ").next().unwrap_or(source.title);
    match source.seen {
        Seen::Recalled => format!("{name} (Recalled)"),
        Seen::QuotedBy(_) => format!("{name} (quoted)"),
        Seen::Read => name.to_owned(),
    }
}

fn row(what: impl Into<String>, value: impl Into<String>, from: &Source) -> RowOut {
    RowOut { what: what.into(), value: value.into(), from: brief(from) }
}

/// What the user stated.
fn stated(what: impl Into<String>, value: impl Into<String>) -> RowOut {
    RowOut { what: what.into(), value: value.into(), from: "as given".to_owned() }
}

/// What the user stated, or what was taken because nothing was said.
fn stated_or_taken(said: bool, what: &str, value: String) -> RowOut {
    let from = if said { "as given" } else { "taken: not given" };
    RowOut { what: what.to_owned(), value, from: from.to_owned() }
}

/// The laser's class by its power, in words.
pub(super) fn class(setup: &Setup) -> String {
    match setup.beam.class() {
        Class::Four => Class::Four.words().to_owned(),
        weaker => format!("{} by its power (Recalled; its label decides)", weaker.words()),
    }
}

/// Power and wavelength of the laser.
pub(super) fn laser(setup: &Setup) -> [String; 2] {
    [power(setup.beam.power), nm(setup.beam.light.wavelength())]
}

/// What speaks against releasing the area as it is set up. What was not said speaks against it as well: nothing that was
/// not looked at may read as clear.
pub(super) fn against(setup: &Setup, worked: &Worked, out: &AreaOut) -> Vec<String> {
    let mut all = Vec::new();
    against_beam(setup, worked, &mut all);
    against_enclosure(setup, worked, out, &mut all);
    against_eyewear(setup, out, &mut all);
    against_air(setup, worked, &mut all);
    if out.changed_since_signed == Some(true)
        && let Some(signed) = &setup.signed
    {
        let beam = match (out.beam_changed.is_empty(), &signed.beam) {
            (false, _) => format!(" ({})", out.beam_changed.join("; ")),
            (true, Some(_)) => " (the beam's figures are as they were, something else is not)".to_owned(),
            (true, None) => " (what has changed cannot be told: [signed] has the fingerprint alone; with power, wavelength and optics as signed a change of them is named)".to_owned(),
        };
        all.push(format!(
            "the setup has changed since {} signed{beam}: the plan then was {}, this one is {}; have it signed again",
            signed.by, signed.fingerprint, out.fingerprint
        ));
    }
    if let Some(setting) = &setup.setting {
        for [field, ours, theirs] in &setting.clashes {
            all.push(format!(
                "{} is {ours} in the setup and {theirs} in the setting '{}': correct the one that is wrong",
                field.replace('_', " "),
                setting.name
            ));
        }
    }
    all
}

fn against_beam(setup: &Setup, worked: &Worked, all: &mut Vec<String>) {
    let beam = &setup.beam;
    if beam.power > MOST_POWER.value {
        all.push(format!(
            "a power of {} is more than any laser for welding has ({} at most, common practice): check its unit",
            power(beam.power),
            power(MOST_POWER.value)
        ));
    }
    if beam.power < LEAST_POWER.value {
        all.push(format!(
            "a power of {} is less than anybody welds with by hand ({} at least, common practice): check its unit",
            power(beam.power),
            power(LEAST_POWER.value)
        ));
    }
    if let (Some(focal), Some(wide)) = (setup.beam_said.focal_length, setup.beam_said.beam_at_lens)
        && wide > focal * WIDEST_ON_LENS
    {
        all.push(format!(
            "a beam of {wide} on a lens of {focal} focal length is wider than any welding head has ({} of the focal length at most, common practice, no source), and a beam that is too wide comes out as one that is safe too near: check the units",
            show_in(Share::from_fraction(WIDEST_ON_LENS), Rounding::Nearest, 0, "%")
        ));
    }
    if worked.widths.is_empty() {
        all.push(
            "how far the direct beam reaches is not known: give divergence, or focal_length and beam_at_lens; until then the whole line of sight is dangerous"
                .to_owned(),
        );
    }
    if let Some(longer) = worked.far_at_e2 {
        all.push(format!(
            "nothing says where the beam's widths are measured, and 1/e was taken: at 1/e², as most data sheets have it, the beam reaches {}; write widths_at = \"1/e2\" or \"1/e\"",
            far(longer)
        ));
    }
    if let Some(p) = &setup.pulses {
        let each = format!(
            "{} each, {} a second",
            brief_time(p.duration),
            significant(p.frequency.hz(), 4)
        );
        if p.overlap() {
            all.push(format!(
                "the pulses overlap ({each}): correct their duration or their frequency"
            ));
        }
        if let (Some(mean), Some(peak)) = (p.mean(), p.peak)
            && (mean.w() - beam.power.w()).abs() > 0.05 * beam.power.w()
        {
            all.push(format!(
                "the pulses come to a mean of {} (peak {}, {each}), and power, which is the mean, says {}: correct the one that is wrong",
                power(mean),
                power(peak),
                power(beam.power)
            ));
        }
    }
    if setup.pulses.is_some_and(|p| p.duration < BRIEF) && !setup.curtains.is_empty() {
        all.push(
            "a rating in W/cm² says nothing of pulses so brief: have the curtain's maker state what it stands of them".to_owned(),
        );
    }
    if setup.scatter.viewing.deg() > 0.0 {
        all.push(format!(
            "diffuse light is worked out for a view under {} from the normal alone, and people look from everywhere: leave viewing_angle out",
            setup.scatter.viewing
        ));
    }
    if let Some(size) = setup.scatter.size.filter(|s| *s > WIDEST_SPOT) {
        all.push(format!(
            "a lit spot of {size} is wider than any weld's ({WIDEST_SPOT} at most, common practice, no source): check its unit"
        ));
    }
    let shown = |share| show_in(share, Rounding::Nearest, 1, "%");
    if setup.scatter.reflectance < DARKEST {
        all.push(format!(
            "{} of the light thrown back by the work is less than any metal throws back (common practice, no source): leave reflectance out, or write what was measured",
            shown(setup.scatter.reflectance)
        ));
    }
    if setup.work.mirrored < DULLEST {
        all.push(format!(
            "{} mirrored by the work is less than any pool of melt mirrors (common practice, no source): leave mirrored out, or write what was measured",
            shown(setup.work.mirrored)
        ));
    }
    if beam.light.is_visible() && beam.power > CLASS_2.value && setup.time.s() < UNSEEN_LEAST_S {
        all.push(format!(
            "an exposure of {} counts on somebody turning away, which protects up to {}: leave it out, and the worst case of {} is taken",
            brief_time(setup.time),
            power(CLASS_2.value),
            lasts(exposure::UNSEEN_TIME.value)
        ));
    }
    if !beam.light.is_visible() && setup.time.s() < UNSEEN_LEAST_S {
        all.push(format!(
            "an exposure of {} counts on somebody turning away from a beam that nobody sees: leave it out, and the worst case of {} is taken",
            brief_time(setup.time),
            lasts(exposure::UNSEEN_TIME.value)
        ));
    }
    if beam.light.is_visible() && setup.time < exposure::BLINK_TIME.value {
        all.push(format!(
            "an exposure of {} is shorter than it takes to turn away, {}",
            brief_time(setup.time),
            brief_time(exposure::BLINK_TIME.value)
        ));
    }
    if let Some(pilot) = &setup.pilot {
        let class = pilot.beam.class();
        if class > Class::Two || !pilot.beam.light.is_visible() {
            all.push(format!(
                "the pilot beam of {} at {} is {} by its power (Recalled): turning away protects up to {} of light that is seen",
                power(pilot.beam.power),
                nm(pilot.beam.light.wavelength()),
                class.words(),
                power(CLASS_2.value)
            ));
        }
        if pilot.beam.light.is_visible() && pilot.time < exposure::BLINK_TIME.value {
            all.push(format!(
                "{} into the pilot beam are less than it takes to turn away, {}",
                brief_time(pilot.time),
                brief_time(exposure::BLINK_TIME.value)
            ));
        }
    }
}

fn against_enclosure(setup: &Setup, worked: &Worked, out: &AreaOut, all: &mut Vec<String>) {
    let reaches = worked.longest().map_or_else(
        || "is dangerous as far as it is seen".to_owned(),
        |m| format!("reaches {}", far(m)),
    );
    match &setup.room {
        None if setup.curtains.is_empty() => all.push(format!(
            "no enclosure is named, and the beam {reaches}: enter the room with its doors, windows and curtains"
        )),
        None => all.push(format!(
            "no room is named, and curtains alone leave the beam other ways, where it {reaches}: enter the room with its doors and windows"
        )),
        Some(room) if room.openings.iter().all(|o| o.window) => all.push(
            "no way in or out of the room is entered, and a room has one: enter every door and window, shut ones too"
                .to_owned(),
        ),
        Some(_) => {}
    }
    let mut told: Vec<&str> = Vec::new();
    let ways = out.ways_out.as_deref().unwrap_or_default();
    let openings = setup.room.as_ref().map(|r| r.openings.as_slice()).unwrap_or_default();
    for way in ways {
        let name = way.opening.as_str();
        if told.contains(&name) {
            continue;
        }
        told.push(name);
        let same = || ways.iter().filter(|w| w.opening == name);
        let seen: Vec<String> = same().map(|w| direction(setup, w)).collect();
        let beyond = same()
            .filter_map(|w| w.beyond_m)
            .max_by(f64::total_cmp)
            .filter(|m| *m > 0.0)
            .map(|m| format!(", dangerous {} beyond it", far(Length::from_m(m))))
            .unwrap_or_default();
        let advice = if openings.iter().any(|o| o.name == name && o.window) {
            "cover the window with what stands the beam and overlaps the frame, or hang a curtain that stands it before the window: glass passes it"
        } else {
            "interlock the door, so that opening it switches the beam off, or hang a curtain that stands the beam before it"
        };
        all.push(format!(
            "the beam can leave the room by {name} ({}){beyond}: {advice}",
            seen.join("; ")
        ));
    }
    if setup.work.shape == Shape::Hollow {
        all.push("the work is hollow and may gather the beam again: how far it throws it and what it lays on a curtain is not known, so it is taken to reach the walls, and a curtain that stands the direct beam may not stand it; fill or cover the hollow, or let the laser safety officer judge it on site".to_owned());
    }
    if matches!(setup.work.shape, Shape::Tube(_) | Shape::Ball(_))
        && setup.work.beam_on_work > Length::ZERO
        && !setup.curtains.is_empty()
    {
        all.push("the work bulges, and at some angle it gathers the mirrored beam tighter on a curtain than the direct one is: how tight is not worked out, so keep the focus on the work, or let the laser safety officer judge the curtains on site".to_owned());
    }
    if let Some(room) = &setup.room
        && let Some(e) = worked.on_curtain(setup, room.nearest_wall())
        && e > barrier::MOST_RATED.value
    {
        all.push(format!(
            "the torch works {} from a wall or door, where the beam lays up to {} on it, which nothing stands for long: farther from it, or a beam stop before it",
            placed(room.nearest_wall()),
            density(e)
        ));
    }
    for (curtain, worked) in setup.curtains.iter().zip(&worked.curtains) {
        let name = &curtain.name;
        if !worked.stands() {
            all.push(match (worked.direct, worked.lasts, curtain.rating.is_empty()) {
                (None, ..) => format!(
                    "what strikes {name} is not known: give divergence, or focal_length and beam_at_lens"
                ),
                (_, _, true) => format!(
                    "{name} has no rating: copy the maker's, or count it as none"
                ),
                (Some(e), None, _) => format!(
                    "{name} is rated for nothing as strong as the direct beam there, {}: take a stronger one, or hang it farther away",
                    density(e)
                ),
                (Some(e), Some(t), _) => format!(
                    "{name} lasts {} against the direct beam there, {}, and {} are wanted until somebody who watches has switched off",
                    lasts(t),
                    density(e),
                    lasts(barrier::WATCHED.value)
                ),
            });
        }
        if let Some(rated) = curtain.rating.iter().find(|r| r.stands > barrier::MOST_RATED.value) {
            all.push(format!(
                "{name} is rated for {}, which no curtain is ({} at most, common practice): check the unit",
                density(rated.stands),
                density(barrier::MOST_RATED.value)
            ));
        }
        if worked.passes.over_at_eye_height {
            all.push(format!(
                "the beam passes over {name} at the height of eyes: its upper edge must be above {} and above the torch",
                placed(EYES.value)
            ));
        }
        match worked.passes.under_reaches {
            Some(Length::ZERO) => {}
            Some(behind) => all.push(format!(
                "the beam passes under {name} and strikes the floor up to {} behind it: let it reach the floor",
                far(behind)
            )),
            None => all.push(format!(
                "the beam passes level under {name}, whose lower edge is no lower than the torch: let it reach the floor"
            )),
        }
    }
}

/// In which directions the beam leaves, and from where when the torch is carried to several places.
fn direction(setup: &Setup, way: &WayOutOut) -> String {
    let several = setup.room.as_ref().is_some_and(|r| r.torches.len() > 1);
    let from = if several {
        let [x, y] = way.torch_m.map(|m| placed(Length::from_m(m)));
        format!(", torch at {x}, {y}")
    } else {
        String::new()
    };
    format!("from {:.0} to {:.0} degrees on the plan{from}", way.from_deg, way.to_deg)
}

/// What the correction for wide beams asks, in words: the scale may have no such number.
fn wide_number(out: &AreaOut) -> String {
    if out.en207_wide_beam > HIGHEST.value {
        format!("more than LB{}, which no pair has", HIGHEST.value)
    } else {
        format!("D LB{}", out.en207_wide_beam)
    }
}

fn against_eyewear(setup: &Setup, out: &AreaOut, all: &mut Vec<String>) {
    match &out.eyewear {
        None => all.push(
            "no eyewear is named: type the marking of the pair at hand, and it is held against the beam".to_owned(),
        ),
        Some(pair) if !pair.holds => {
            all.push(format!("the eyewear {} does not do: {}", pair.marking, pair.why.join("; ")));
        }
        Some(pair) if !pair.holds_wide_beam && setup.eyewear.confirmed.is_none() => all.push(format!(
            "the eyewear {} does by the published relation alone: for a beam of {} mm EN 207:2017's correction for wide beams (Recalled) asks {}; until its maker has stated that it stands {} on {} mm, count it as not enough",
            pair.marking,
            significant(out.eyewear_spot_mm, 3),
            wide_number(out),
            power(setup.beam.power),
            significant(out.eyewear_spot_mm, 3)
        )),
        Some(_) => {}
    }
    if let Some(at) = setup.eyewear.at.filter(|at| *at > OPERATOR[1]) {
        all.push(format!(
            "the eyewear is held against the beam where it is {} from the work, and whoever holds the torch has eyes {} to {} from it (common practice, no source): hold the operator's own pair against the beam there",
            placed(at),
            placed(OPERATOR[0]),
            placed(OPERATOR[1])
        ));
    }
    if !out.en207_exists {
        all.push(format!(
            "no eyewear stands the beam on {} mm: the scale ends at LB{}; keep the face out of reach of it",
            significant(out.eyewear_spot_mm, 3),
            HIGHEST.value
        ));
    }
}

fn against_air(setup: &Setup, worked: &Worked, all: &mut Vec<String>) {
    if setup.gas.is_none() && !setup.no_gas {
        all.push(
            "nothing is said of gas, so oxygen was not looked at: enter what flows, leaks, and stands in cylinders, or that there is none".to_owned(),
        );
    }
    if let Some(g) = &setup.gas
        && g.flow > GasFlow::ZERO
        && !g.cylinder_said
    {
        all.push(
            "gas flows, and what it flows from is not said: enter the cylinder that stands in the room, or say that none does (cylinder = \"none\")".to_owned(),
        );
    }
    if let Some(g) = &setup.gas {
        if g.sides.is_some_and(|sides| g.room > sides * 1.05) {
            all.push(format!(
                "the room holds {} m³ by its sides and {} m³ by what is said of its gas: correct the one that is wrong",
                significant(g.sides.map_or(0.0, Volume::m3), 3),
                significant(g.room.m3(), 3)
            ));
        }
        if g.air_changes > MOST_CHANGES {
            all.push(format!(
                "{} changes of air in an hour are more than any hall has ({MOST_CHANGES} at most, common practice, no source): check them",
                significant(g.air_changes, 4)
            ));
        }
    }
    for (state, share) in [
        ("while gas flows", worked.oxygen.map(|o| o.steady())),
        ("over a closed weekend by the leak alone", worked.leak_closed),
        ("after the cylinder has emptied itself", worked.emptied),
    ] {
        if let Some(share) = share.filter(|s| *s < FIRST_ALARM.value) {
            all.push(format!(
                "oxygen falls to {} {state}, below the first alarm at {}: more air, less gas, cylinders outside",
                oxygen(share),
                oxygen(FIRST_ALARM.value)
            ));
        }
    }
    match &setup.fume {
        None => all.push(
            "nothing is said of parent metal and wire, so the fume was not looked at: enter them, and the hood that draws it off".to_owned(),
        ),
        Some(f) if f.hood.is_none() => all.push(
            "no hood is named, and fume is drawn off at the weld: enter the hood's opening and its distance, and the air that it must draw is worked out".to_owned(),
        ),
        Some(f) => {
            if let Some(Hood { sides: [a, b], .. }) = f.hood
                && a.min(b) < a.max(b) * SLOT
            {
                all.push("the hood's opening is a slot, which draws otherwise than its relation says: its maker states its flow".to_owned());
            }
            let [least, _] = fume::CAPTURE.map(|c| c.value);
            if let Some(v) = f.hood.and_then(|h| h.velocity).filter(|v| *v < least) {
                all.push(format!("{v} of air at the weld is less than catches its fume, {least}"));
            }
            if let Some((hood, holds_to)) = f.hood.and_then(beyond_its_relation) {
                all.push(format!(
                    "the hood is {} from the weld, and what it catches beyond about {} no relation says: bring it nearer",
                    placed(hood.distance),
                    placed(holds_to)
                ));
            }
        }
    }
}

/// A hood farther from the weld than the relation of its air flow holds, and how far that is.
fn beyond_its_relation(hood: Hood) -> Option<(Hood, Length)> {
    let holds_to = fume::holds_to(hood.sides[0] * hood.sides[1]);
    (hood.distance > holds_to).then_some((hood, holds_to))
}

/// What was taken because nothing was said, and only shows once the rest is worked out.
pub(super) fn taken(setup: &Setup, worked: &Worked) -> Option<String> {
    let near = setup.room.as_ref()?.nearest_wall();
    let struck = worked.on_curtain(setup, near).map(density);
    Some(format!(
        "walls, ceiling and shut interlocked doors stand the beam, whatever they are made of{}",
        struck.map_or_else(String::new, |e| format!(
            ": on the nearest, {} from the torch, it lays up to {e}",
            placed(near)
        ))
    ))
}

/// All that page and plan print.
pub(super) fn says(setup: &Setup, worked: &Worked, out: &AreaOut) -> Says {
    let mut parts = vec![beam_part(setup, worked), distances(setup, worked, out)];
    parts.push(eyewear_part(setup, worked, out));
    parts.push(barrier_part(setup, worked));
    if let Some(part) = room_part(setup, out) {
        parts.push(part);
    }
    parts.push(gas_part(setup, worked, out));
    parts.push(fume_part(setup, worked, out));
    Says {
        signed: signed(setup, out),
        answers: answers(setup, worked, out),
        parts,
        cautions: cautions(setup.beam.light.is_visible()),
        ..always()
    }
}

/// Whether the plan that was signed still stands.
fn signed(setup: &Setup, out: &AreaOut) -> Option<String> {
    let signed = setup.signed.as_ref()?;
    let day = &signed.date;
    let told = format!("Signed by {} on {}-{:02}-{:02}", signed.by, day.year, day.month, day.day);
    Some(if out.changed_since_signed == Some(false) {
        format!("{told}: the setup is as it was signed, and that plan stands.")
    } else {
        format!("{told}: that plan no longer stands, the setup is another one.")
    })
}

/// What is said whatever the setup is, and without one: cautions, check list, etching.
#[must_use]
pub fn always() -> Says {
    Says {
        signed: None,
        answers: Vec::new(),
        parts: Vec::new(),
        checks: checks::LIST
            .iter()
            .map(|c| [c.topic.to_owned(), c.what.to_owned(), brief(&c.source)])
            .collect(),
        etchants: etch::TABLE
            .iter()
            .map(|e| EtchantOut {
                name: e.name,
                alloys: e.alloys,
                strength: e.strength,
                never: e.never,
                first_aid: e.first_aid,
                trained_only: e.trained_only,
                from: brief(&e.source),
            })
            .collect(),
        etching_always: etch::ALWAYS.iter().map(|t| (*t).to_owned()).collect(),
        cautions: cautions(false),
    }
}

/// Of a beam that is seen, and of one that is not.
const SEEN: &str = "The beam is seen where it strikes and hardly on its way; turning away is no protection from a beam that welds. Wobble never lowers an exposure value.";
const UNSEEN: &str = "A welding laser's beam is invisible. Wobble never lowers an exposure value, and a beam that looks weak in the pilot's light is not.";

/// Cautions that every way of reading this carries, for a beam that is seen or not.
fn cautions(seen: bool) -> Vec<String> {
    let all = [
        "This is worked out from what was typed in; it releases nothing. The laser safety officer decides, and the law of the place and the maker's manual go before it.",
        "The beam goes through gaps, full-penetration passes, missed edges and past a shallow tee with all its power: a beam stop that stands it behind the joint, and nobody opposite.",
        if seen { SEEN } else { UNSEEN },
        "Whoever is within the distances wears eyewear by its marking for this wavelength. It is made for the glance that was not meant; nobody looks into the beam, with or without it.",
        "Laser eyewear lets the plume's blue and ultraviolet light through, so a welding shade is worn as well. A welding shade alone is no laser protection: shade 14 still lets 0.3 % of infrared through, an optical density of 2.5.",
        "All skin is covered with what does not burn.",
        "A handheld torch is carried about and turned: what is worked out from one of its places holds for that place. Enter each place where it works.",
        "Binoculars, telescopes and camera finders gather more of a beam than a pupil does: the distances here are for the naked eye.",
        "Argon and cold gas sink and stay in pits, channels, tanks and behind kerbs; helium rises and stays under ceilings and in hoods. 'Well mixed', which the oxygen here is worked out with, is not on the safe side there: measure where the gas gathers, and nobody enters a vessel that gas can reach without a permit and somebody outside.",
        "Welding fume causes cancer (IARC group 1, Recalled): it is drawn off at the weld, and limits are shown to be met by measuring in the breathing zone. Zinc coatings bring fume fever.",
        "No chlorinated solvent in the area: near beam or arc it makes phosgene. Parts come in dry.",
        "Etching: never store nital above about 5 %, nor in a closed bottle; never nitric acid with acetone, isopropanol or glycerol; never hydrochloric mixes capped or with bleach; hydrofluoric acid (Keller's, Kroll's) only by persons trained for it with calcium gluconate at hand; dry picric acid explodes.",
        "What is marked Recalled was given from memory: somebody reads it in the standard in force before it is relied on.",
    ];
    all.map(str::to_owned).to_vec()
}

fn answers(setup: &Setup, worked: &Worked, out: &AreaOut) -> Vec<[String; 2]> {
    let mut how_far = Vec::new();
    if let Some(r) = worked.focused {
        how_far.push(format!(
            "Beyond its focus the beam endangers eyes for {} and {}, in front of the torch and on the far side of the joint alike",
            far(r.eye),
            skin(r.skin)
        ));
    }
    if let Some(r) = worked.bare {
        how_far.push(format!(
            "{} bare beam endangers eyes for {} and {}",
            if how_far.is_empty() { "The" } else { "the" },
            far(r.eye),
            skin(r.skin)
        ));
    }
    if let Some(r) = worked.fibre {
        how_far.push(format!(
            "{} open fibre endangers eyes for {}",
            if how_far.is_empty() { "An" } else { "an" },
            far(r.eye)
        ));
    }
    if how_far.is_empty() {
        how_far.push(
            "How far the direct beam endangers eyes is not known, because nothing says how it spreads: the whole line of sight is dangerous"
                .to_owned(),
        );
    }
    let mut sentence = String::new();
    if let Some(s) = setup.setting.as_ref().filter(|s| s.lent.contains(&"power")) {
        sentence.push_str(&format!(
            "All of it holds for the {} of the setting '{}' and no more: the laser may be set higher. ",
            power(setup.beam.power),
            s.name
        ));
    }
    if let Some(longer) = worked.far_at_e2 {
        sentence.push_str(&format!(
            "Count with {} until it is said where the beam's widths are measured: at 1/e², as most data sheets have them, it reaches so far. With 1/e, which was taken for what follows: ",
            far(longer)
        ));
    }
    sentence.push_str(&format!("{}. ", how_far.join("; ")));
    sentence.push_str(&match (worked.mirrored, setup.work.shape) {
        (_, Shape::Hollow) => "A hollow surface may gather the beam again: no distance is given, and it is taken to reach the walls and to leave by whatever in them is open. ".to_owned(),
        (Some(r), _) => format!("Mirrored by the work it endangers eyes for {} to any side. ", far(r.eye)),
        (None, _) => String::new(),
    });
    sentence.push_str(&format!(
        "Diffuse light from the work endangers eyes within {} and {}.",
        far(worked.diffuse.eye),
        if worked.diffuse.skin.m() > 0.0 {
            format!("skin within {}", far(worked.diffuse.skin))
        } else {
            "skin nowhere".to_owned()
        }
    ));
    if setup.scatter.reflectance < Share::from_fraction(1.0) {
        sentence.push_str(&format!(
            " That rests on {} thrown back by the work, as given.",
            show_in(setup.scatter.reflectance, Rounding::Nearest, 0, "%")
        ));
    }
    if !setup.beam.light.is_visible() && setup.time.s() < UNSEEN_LEAST_S {
        sentence.push_str(&format!(
            " All of it rests on an exposure of {}, and nobody turns away from a beam that is not seen.",
            brief_time(setup.time)
        ));
    }
    if worked.limits.eye.source.seen == Seen::Recalled {
        sentence.push_str(&format!(" It rests on limits of {}.", brief(&worked.limits.eye.source)));
    }
    let mut wear = format!(
        "EN 207 D LB{}{} at {}, optical density at least {} for the whole beam through a pupil.",
        out.en207_scale,
        out.en207_pulsed
            .as_ref()
            .map(|p| format!(" and {} LB{}", p.mode, p.scale))
            .unwrap_or_default(),
        nm(setup.beam.light.wavelength()),
        up2(out.needed_od_whole_beam)
    );
    let spot = significant(out.eyewear_spot_mm, 3);
    if out.en207_wide_beam > out.en207_scale {
        wear.push_str(&format!(
            " That is the published relation; for a beam wider than 1 mm, here {spot} mm, EN 207:2017 (Recalled) would ask {}, and the stricter one counts until the maker has stated what a pair stands.",
            wide_number(out)
        ));
    }
    match &out.eyewear {
        None => wear.push_str(" No pair was named to be checked."),
        Some(p) if p.holds && p.holds_wide_beam => {
            wear.push_str(&format!(" The pair {} carries it.", p.marking));
        }
        Some(p) if p.holds => wear.push_str(&match &setup.eyewear.confirmed {
            Some(stated) => format!(
                " The pair {} carries what the published relation asks, and for the wide beam its maker has stated: {stated}.",
                p.marking
            ),
            None => format!(
                " The pair {} carries what the published relation asks and not the stricter one: have its maker state what it stands on {spot} mm.",
                p.marking
            ),
        }),
        Some(p) => {
            wear.push_str(&format!(" The pair {} does not do: {}.", p.marking, p.why.join("; ")));
        }
    }
    let [near, off] = OPERATOR;
    if worked.diffuse.eye > near {
        wear.push_str(&format!(
            " Whoever holds the torch has eyes {} to {} from the work (common practice, no source), within the {} of its diffuse light, which alone asks an optical density of {} there: the pair is worn whenever the beam is on.",
            show_in(near, Rounding::Nearest, 1, "m"),
            show_in(off, Rounding::Nearest, 1, "m"),
            far(worked.diffuse.eye),
            up2(out.needed_od_diffuse_operator)
        ));
    }
    wear.push_str(&match (setup.arc, out.shade_least) {
        (Some((arc, amperes)), Some(shade)) => format!(
            " Over it a welding shade of at least {shade} ({} at {} A), never instead of it.",
            arc.word(),
            significant(amperes, 4)
        ),
        _ => " Over it a welding shade, never instead of it; for a laser's plume alone no published table was found, so the maker of the hood says which.".to_owned(),
    });
    let mut hang: Vec<String> = Vec::new();
    for (c, w) in setup.curtains.iter().zip(&worked.curtains) {
        let struck = w.direct.map_or_else(
            || "by a beam whose spread is not known".to_owned(),
            |e| format!("by up to {}", density(e)),
        );
        let held = match w.lasts {
            Some(t) if w.stands() => format!("and its rating lasts {} against that", lasts(t)),
            Some(t) => format!("and its rating lasts only {} against that", lasts(t)),
            None => "and it is rated for nothing so strong: it counts as none".to_owned(),
        };
        let under = match w.passes.under_reaches {
            Some(Length::ZERO) => String::new(),
            Some(d) => format!("; under it the beam strikes the floor up to {} behind", far(d)),
            None => "; the beam passes level under it".to_owned(),
        };
        hang.push(format!(
            "{}, {} away, is struck {struck}, {held}{under}.",
            capital(&c.name),
            placed(c.distance)
        ));
    }
    if hang.is_empty() {
        let two = Length::from_m(2.0);
        hang.push(match worked.on_curtain(setup, two) {
            Some(e) => {
                format!(
                    "None is named. At {} the direct beam would lay {} on one: it must be rated for that for {}, until somebody who watches has switched off.",
                    placed(two),
                    density(e),
                    lasts(barrier::WATCHED.value)
                )
            }
            None => "None is named, and what would strike one is not known.".to_owned(),
        });
    }
    if let Some(ways) = &out.ways_out {
        if ways.is_empty() {
            hang.push(if setup.room.as_ref().is_some_and(|r| r.openings.is_empty()) {
                "No door or window was entered, so no way out was looked at.".to_owned()
            } else {
                "No door or window is a way out for a straight beam, looked at from above; a torch that tips up is not looked at.".to_owned()
            });
        } else {
            let mut names: Vec<&str> = ways.iter().map(|w| w.opening.as_str()).collect();
            names.sort_unstable();
            names.dedup();
            hang.push(format!("The beam can leave by {}.", names.join(", ")));
        }
    }
    if let Some(room) = &setup.room {
        hang.push(match room.torches.len() {
            1 => "That is followed from one place of the torch, and a handheld one is carried about: enter every further place where it works, the corners of the work at the least.".to_owned(),
            n => format!("That is followed from {n} places of the torch; curtains are held against the nearest."),
        });
    }
    vec![
        ["How far?".to_owned(), sentence],
        ["What eyewear?".to_owned(), wear],
        ["What curtain?".to_owned(), hang.join(" ")],
        ["What air?".to_owned(), air(setup, worked, out)],
    ]
}

fn air(setup: &Setup, worked: &Worked, out: &AreaOut) -> String {
    let mut text = String::new();
    if let Some(o) = worked.oxygen {
        let flows = setup.gas.is_some_and(|g| g.flow + g.leak > GasFlow::ZERO);
        text.push_str(&format!(
            "While {} flows, oxygen is {} after an hour and {} in the end, were the room well mixed",
            if flows { setup.gas.map_or("gas", |g| g.kind.word()) } else { "no gas" },
            oxygen(o.after(Duration::from_h(1.0))),
            oxygen(o.steady())
        ));
        text.push_str(&match o.falls_to(FIRST_ALARM.value) {
            Some(t) => {
                format!("; the alarm at {} sounds after {}. ", oxygen(FIRST_ALARM.value), lasts(t))
            }
            None => format!("; it stays above the alarm at {}. ", oxygen(FIRST_ALARM.value)),
        });
    }
    if let Some(o) = worked.leak {
        text.push_str(&format!(
            "The leak alone brings it to {}, and in {} of a closed room with no change of air to {}. ",
            oxygen(o.steady()),
            lasts(gas::WEEKEND.value),
            worked.leak_closed.map_or_else(String::new, oxygen)
        ));
    }
    if let Some(share) = worked.emptied {
        text.push_str(&format!(
            "A cylinder emptied into the closed room leaves {}. ",
            oxygen(share)
        ));
    }
    if text.is_empty() {
        text.push_str(if setup.no_gas {
            "No gas flows, as given, so oxygen stays as it is. "
        } else {
            "No gas is named, so oxygen was not looked at. "
        });
    }
    if let Some(g) = &setup.gas {
        text.push_str(match g.kind {
            GasKind::Argon => "Argon sinks: pits, tanks and low places lose their oxygen long before that. ",
            GasKind::Nitrogen => "Cold nitrogen sinks, warm nitrogen mixes: vessels and pits lose their oxygen long before that. ",
            GasKind::Helium => "Helium rises: under ceilings, in lofts and hoods oxygen is lost long before that. ",
        });
    }
    if let Some(all) = &out.fume {
        let names: Vec<&str> = all.iter().map(|f| f.what).collect();
        text.push_str(&format!("In the fume: {}. ", names.join(", ")));
    }
    if let Some([low, high]) = worked.hood {
        text.push_str(&if low == high {
            format!("The hood must draw {}.", hourly(low))
        } else {
            format!(
                "The hood must draw {} in still air, {} in a draught.",
                hourly(low),
                hourly(high)
            )
        });
    }
    match &setup.fume {
        None => text.push_str("No parent metal is named, so the fume was not looked at."),
        Some(f) if f.hood.is_none() => {
            text.push_str("No hood is named: without one at the weld the fume is breathed.");
        }
        Some(_) => {}
    }
    text.trim().to_owned()
}

fn beam_part(setup: &Setup, worked: &Worked) -> PartOut {
    let (beam, l) = (&setup.beam, &worked.limits);
    let lent = |field: &str| setup.setting.as_ref().filter(|s| s.lent.contains(&field));
    let said = |field: &str, what: &str, value: String| match lent(field) {
        Some(setting) => {
            RowOut { what: what.to_owned(), value, from: format!("setting '{}'", setting.name) }
        }
        None => stated(what, value),
    };
    let mut rows = vec![
        said("power", "power", power(beam.power)),
        said("wavelength", "wavelength", nm(beam.light.wavelength())),
    ];
    let words = [
        ("divergence", "divergence of the bare beam, full angle"),
        ("focal_length", "focal length of the last lens"),
        ("beam_at_lens", "beam on that lens"),
    ];
    for ((field, what), text) in words.into_iter().zip(&setup.beam_said.texts()[2..]) {
        let Some(text) = text else { continue };
        // A setting's widths are at 1/e², as its spot is.
        let at = match (field, lent(field).is_some(), setup.widths_at) {
            ("focal_length", ..) => "",
            (_, true, _) | (_, _, WidthAt::OneOverESquared) => ", at 1/e²",
            (_, false, WidthAt::OneOverE) => ", at 1/e",
        };
        rows.push(said(field, what, format!("{text}{at}")));
    }
    rows.extend([
        if setup.time == exposure::UNSEEN_TIME.value {
            row("exposure", lasts(setup.time), &exposure::UNSEEN_TIME.source)
        } else {
            stated("exposure", lasts(setup.time))
        },
        row("class by its power", beam.class().words(), &source::IEC_60825_1_CLASSES),
        row("C4", significant(beam.light.c4, 4), &source::ICNIRP_FACTORS),
        row("C7", significant(beam.light.c7, 4), &source::ICNIRP_FACTORS),
        row("eye may take", limit(l.eye.irradiance), &l.eye.source),
        row("skin may take", limit(l.skin.irradiance), &l.skin.source),
    ]);
    if l.skin_for_distance > l.skin.irradiance {
        rows.push(row("skin, for distances", limit(l.skin_for_distance), &l.skin.source));
    }
    if let Some(p) = &beam.pulses {
        rows.push(stated(
            "pulses",
            format!("{} a second of {}", significant(p.per_second, 4), brief_time(p.duration)),
        ));
    }
    let mut sentences =
        vec!["Limits are means over 7 mm (eye, an open pupil) and 3.5 mm (skin).".to_owned()];
    if setup.time != exposure::UNSEEN_TIME.value {
        sentences.push(format!(
            "The exposure was given; the worst case of an unintended one is {}.",
            lasts(exposure::UNSEEN_TIME.value)
        ));
    }
    if l.skin_for_distance > l.skin.irradiance {
        sentences.push("Skin may take more for longer than 10 s than for 10 s by the table, which steps there; distances use the longer time's limit, so that none shrinks with time. It is up to 2.2 % above the table's own, and the skin's distance up to 1.1 % shorter than by that.".to_owned());
    }
    if beam.light.is_stricter_than_table() {
        sentences.push("C7 is held at 8 from 1200 nm on. IEC 60825-1:2014 (Recalled) has 8 + 10^(0.04 (λ - 1250)): it lets the eye take more, for what only the cornea has to bear. The limit here is the stricter.".to_owned());
    }
    PartOut { title: "The beam and what eye and skin may take".to_owned(), rows, sentences }
}

fn distances(setup: &Setup, worked: &Worked, out: &AreaOut) -> PartOut {
    let mut rows = Vec::new();
    let [range, lens, fibre, zone, geometry] = &distance::SOURCES;
    if let Some(r) = worked.bare {
        rows.push(row("bare beam, eye (NOHD)", far(r.eye), range));
        rows.push(row("bare beam, skin", reach(r.skin), range));
    }
    if let Some(r) = worked.focused {
        rows.push(row("beyond the focus, eye (NOHD)", far(r.eye), lens));
        if let Some(from_lens) = out.hazard_from_lens_m {
            rows.push(row("the same from the lens", far(Length::from_m(from_lens)), lens));
        }
        rows.push(row("beyond the focus, skin", reach(r.skin), lens));
    }
    if let Some(r) = worked.fibre {
        rows.push(row("open end of the fibre, eye", far(r.eye), fibre));
        rows.push(row("open end of the fibre, skin", reach(r.skin), fibre));
    }
    if let Some(far_side) = worked.far() {
        rows.push(row("far side of the joint, eye", far(far_side), geometry));
    }
    if let Some(r) = worked.mirrored {
        let shape = match setup.work.shape {
            Shape::Tube(radius) => format!("mirrored by a tube of radius {radius}"),
            Shape::Ball(radius) => format!("mirrored by a ball of radius {radius}"),
            Shape::Flat | Shape::Hollow => "mirrored by a flat surface".to_owned(),
        };
        rows.push(row(format!("{shape}, eye"), far(r.eye), geometry));
        rows.push(row(format!("{shape}, skin"), reach(r.skin), geometry));
    }
    rows.push(row("diffuse reflection, eye", far(worked.diffuse.eye), zone));
    rows.push(row("diffuse reflection, skin", reach(worked.diffuse.skin), zone));
    if let Some(p) = &out.pilot {
        rows.push(row(
            format!(
                "pilot beam, {} at {}{}, eye",
                power(Power::from_w(p.power_w)),
                nm(Length::from_nm(p.wavelength_nm)),
                setup.pilot.map(|p| format!(", {}", p.beam.class().words())).unwrap_or_default()
            ),
            match p.hazard_m {
                Some(0.0) => "may be borne everywhere for that time".to_owned(),
                Some(m) => far(Length::from_m(m)),
                None => "not known without a spread".to_owned(),
            },
            &source::ANSI_Z136_1_VISIBLE,
        ));
        rows.push(row(
            "pilot beam, what may enter a pupil",
            show_in(Power::from_w(p.permitted_through_pupil_w), Rounding::Down, 2, "mW"),
            &source::ANSI_Z136_1_VISIBLE,
        ));
    }
    let mut sentences = vec![
        "The far side is as far as the near: the beam goes through gaps, full-penetration passes, missed edges and past a shallow tee. A beam stop stands behind the joint, and nobody opposite. Wobble is left out, because it never lowers an exposure value.".to_owned(),
        format!(
            "Diffuse: {} of the power thrown back, looked at under {} from the normal{}.",
            show_in(setup.scatter.reflectance, Rounding::Nearest, 0, "%"),
            setup.scatter.viewing,
            match setup.scatter.size {
                Some(size) => format!(", lit spot of {size}"),
                None => ", as from a point".to_owned(),
            }
        ),
        format!(
            "Mirrored: {} of the power. A bright plate, a pool or a vice's jaw throws it to any side.",
            show_in(setup.work.mirrored, Rounding::Nearest, 0, "%")
        ),
    ];
    if setup.work.shape == Shape::Hollow {
        sentences.push("A hollow surface may gather the beam again, so no distance is given for what it mirrors: it is taken to reach the walls, and every door and window that lets a beam through is a way out.".to_owned());
    }
    if matches!(setup.work.shape, Shape::Tube(_) | Shape::Ball(_)) {
        sentences.push(format!(
            "Round work throws the beam to any side: take all sides as open to it. The farthest counts, over every width of the beam on the work up to the one given and every angle to 85 degrees: a bulge of radius R takes 2 b cos i / R, or 2 b / (R cos i), from the angle of a beam of width b that shrinks, and somewhere throws it out level, down to what {} leaves.",
            match setup.work.m2 {
                Some(m2) => format!("an M² of {}", significant(m2, 3)),
                None => "an ideal beam (no M² is given)".to_owned(),
            }
        ));
    }
    if setup.beam.pulses.is_some() && setup.scatter.size.is_none() {
        sentences.push("Pulses are rated the stricter on a lit spot that is seen under more than 5 mrad (5 mm from 1 m): then it may be dangerous farther than a point; give its width, diffuse_source.".to_owned());
    }
    PartOut { title: "How far the beam is dangerous".to_owned(), rows, sentences }
}

fn eyewear_part(setup: &Setup, worked: &Worked, out: &AreaOut) -> PartOut {
    let [od, scale, _, wide, marking] = &eyewear::SOURCES;
    let mut rows = vec![
        row("optical density, whole beam through a pupil", up2(out.needed_od_whole_beam), od),
        match setup.eyewear.at {
            Some(at) if worked.spot < setup.eyewear.spot => row(
                format!("beam on the eyewear, as it is at {}", placed(at)),
                format!("{} mm at 1/e", significant(out.eyewear_spot_mm, 3)),
                &source::LASER_GEOMETRY,
            ),
            _ => stated_or_taken(
                setup.eyewear.spot_said,
                "beam on the eyewear",
                format!("{} mm at 1/e", significant(out.eyewear_spot_mm, 3)),
            ),
        },
        row("power density there", density(worked.scale.density), scale),
        row("EN 207, mode D", format!("LB{}", out.en207_scale), scale),
    ];
    if let Some(p) = &out.en207_pulsed {
        rows.push(row(format!("EN 207, mode {}", p.mode), format!("LB{}", p.scale), wide));
    }
    if out.en207_wide_beam > out.en207_scale {
        rows.push(row(
            "EN 207, mode D, glass, corrected for the wide beam",
            wide_number(out),
            wide,
        ));
    }
    rows.push(row(
        format!("optical density for the operator, {}, diffuse", placed(OPERATOR[0])),
        up2(out.needed_od_diffuse_operator),
        od,
    ));
    if let Some(at) = setup.eyewear.at {
        if let Some(needed) = out.needed_od_at_distance {
            rows.push(row(
                format!("optical density at {}, direct beam", placed(at)),
                up2(needed),
                od,
            ));
        }
        if let Some(needed) = out.needed_od_diffuse {
            rows.push(row(
                format!("optical density at {}, diffuse light", placed(at)),
                up2(needed),
                od,
            ));
        }
    }
    if let Some(p) = &out.eyewear {
        rows.push(stated("pair at hand", p.marking.clone()));
        rows.push(row(
            "does it do?",
            match (p.holds, p.holds_wide_beam) {
                (true, true) => "yes".to_owned(),
                (true, false) => {
                    format!(
                        "by the published relation; not for the wide beam (Recalled): {}",
                        wide_number(out)
                    )
                }
                _ => format!("no: {}", p.why.join("; ")),
            },
            scale,
        ));
        if let Some(confirmed) = &setup.eyewear.confirmed {
            rows.push(stated("its maker has stated", confirmed.clone()));
        }
        if !p.beside.is_empty() {
            rows.push(row("printed on it, counts for nothing here", p.beside.join(", "), marking));
        }
    }
    if let Some(luminous) = setup.eyewear.luminous {
        rows.push(row(
            "luminous transmittance",
            format!(
                "{}{}",
                show_in(luminous, Rounding::Nearest, 0, "%"),
                if luminous < LEAST_LUMINOUS.value {
                    ", below 20 %: more light on the work"
                } else {
                    ""
                }
            ),
            marking,
        ));
    }
    if let (Some((arc, amperes)), Some(least), Some(luminous)) =
        (setup.arc, out.shade_least, out.shade_luminous_percent)
    {
        rows.push(row(
            format!("welding shade, {} at {} A", arc.word(), significant(amperes, 4)),
            format!("at least {least} (lets through {} % of light)", significant(luminous, 2)),
            &source::OSHA_1910_133,
        ));
    }
    let n = out.en207_scale.min(HIGHEST.value);
    PartOut {
        title: "Eyewear, and the shade beside it".to_owned(),
        rows,
        sentences: vec![
            format!(
                "An optical density of D lets 10^-D through: OD 7 one ten-millionth, {} %; LB{n} at most {} %.",
                significant(transmittance(7.0).percent(), 1),
                significant(transmittance(f64::from(n)).percent(), 1)
            ),
            "LBn stands 10^(n+1) W/m² for the five seconds of its test. The figures are W/m²: a textbook prints the same ones in W/cm², ten thousand times too much.".to_owned(),
            format!(
                "Laser eyewear lets the plume's blue and ultraviolet light through: a welding shade goes over it. Shade 14 still lets {} of infrared through, so a shade never goes instead of it.",
                show_in(shade::SHADE_14_INFRARED.value, Rounding::Nearest, 1, "%")
            ),
        ],
    }
}

fn barrier_part(setup: &Setup, worked: &Worked) -> PartOut {
    let mut rows = Vec::new();
    let [rating, _, geometry] = &barrier::SOURCES;
    for (c, w) in setup.curtains.iter().zip(&worked.curtains) {
        let name = &c.name;
        rows.push(stated(format!("{name}, from the torch"), placed(c.distance)));
        if let Some(e) = w.direct {
            rows.push(row(format!("{name}, direct beam on it"), density(e), geometry));
        }
        rows.push(row(format!("{name}, diffuse light on it"), density(w.diffuse), geometry));
        rows.push(row(
            format!("{name}, its rating lasts"),
            match w.lasts {
                Some(t) => lasts(t),
                None if c.rating.is_empty() => "no rating given: counts as none".to_owned(),
                None => "rated for nothing so strong: counts as none".to_owned(),
            },
            rating,
        ));
        rows.push(row(
            format!("{name}, over it"),
            if w.passes.over_at_eye_height {
                "the beam passes at the height of eyes"
            } else {
                "above the height of eyes"
            },
            geometry,
        ));
        rows.push(row(
            format!("{name}, under it"),
            match w.passes.under_reaches {
                Some(Length::ZERO) => "nothing: it reaches the floor".to_owned(),
                Some(d) => format!("strikes the floor up to {} behind it", far(d)),
                None => "the beam passes level: lower the edge".to_owned(),
            },
            geometry,
        ));
    }
    for m in [1.0, 2.0, 3.0, 5.0] {
        let at = Length::from_m(m);
        if let Some(e) = worked.on_curtain(setup, at) {
            let what = format!("direct beam on a curtain at {}", placed(at));
            rows.push(row(what, density(e), geometry));
        }
    }
    PartOut {
        title: "Curtains".to_owned(),
        rows,
        sentences: vec![
            format!(
                "A curtain stands when its maker's rating lasts {} against the direct beam: somebody watches, and has switched off by then. Between two lines of a rating the stronger one's time counts; beyond the last there is none.",
                lasts(barrier::WATCHED.value)
            ),
            format!(
                "Distances count from the focus, where the torch works: a torch carried towards a curtain lays more on it. Curtains overlap, reach above {} and above the torch, and down to the floor; the ceiling does not mirror.",
                placed(EYES.value)
            ),
        ],
    }
}

fn room_part(setup: &Setup, out: &AreaOut) -> Option<PartOut> {
    let room = setup.room.as_ref()?;
    let [geometry] = &room::SOURCES;
    let mut rows =
        vec![stated("room", format!("{} by {}", placed(room.width), placed(room.depth)))];
    for torch in &room.torches {
        rows.push(stated("torch at", format!("{}, {}", placed(torch.x), placed(torch.y))));
    }
    for o in &room.openings {
        rows.push(stated(
            o.name.clone(),
            match (o.window, o.stops) {
                (true, _) => "window: glass passes the beam",
                (false, true) => "door, interlocked",
                (false, false) => "door, not interlocked",
            },
        ));
    }
    for way in out.ways_out.iter().flatten() {
        rows.push(row(
            format!("way out: {}", way.opening),
            format!(
                "{}, {} away{}",
                direction(setup, way),
                far(Length::from_m(way.distance_m)),
                way.beyond_m
                    .map(|m| format!(", dangerous {} beyond it", far(Length::from_m(m))))
                    .unwrap_or_default()
            ),
            geometry,
        ));
    }
    let sentences = vec![
        "Every direction from each place of the torch is followed until a wall, an interlocked door or a curtain that stands stops it. Angles count from the plan's right towards its top.".to_owned(),
    ];
    Some(PartOut { title: "The room".to_owned(), rows, sentences })
}

fn gas_part(setup: &Setup, worked: &Worked, out: &AreaOut) -> PartOut {
    let [balance, _, sudden, alarms, density, content, boiled] = &gas::SOURCES;
    let mut rows = Vec::new();
    if let Some(g) = &setup.gas {
        rows.push(stated_or_taken(g.kind_said, "gas", g.kind.word().to_owned()));
        rows.push(stated("room", format!("{} m³", significant(g.room.m3(), 3))));
        rows.push(stated_or_taken(
            g.air_changes_said,
            "air changes in an hour",
            significant(g.air_changes, 4),
        ));
        if g.flow > GasFlow::ZERO {
            rows.push(stated("gas flow", show_in(g.flow, Rounding::Nearest, 1, "l/min")));
        }
        if g.leak > GasFlow::ZERO {
            rows.push(stated("leak", show_in(g.leak, Rounding::Nearest, 2, "l/min")));
        }
    }
    if let Some(o) = worked.oxygen {
        for hours in [0.25, 0.5, 1.0, 2.0, 4.0, 8.0] {
            let time = Duration::from_h(hours);
            rows.push(row(format!("oxygen after {}", lasts(time)), oxygen(o.after(time)), balance));
        }
        rows.push(row("oxygen in the end", oxygen(o.steady()), balance));
        for (level, after) in [
            (FIRST_ALARM.value, out.oxygen_first_alarm_after_s),
            (SECOND_ALARM.value, out.oxygen_second_alarm_after_s),
        ] {
            rows.push(row(
                format!("alarm at {}", oxygen(level)),
                match after {
                    Some(s) => format!("after {}", lasts(Duration::from_s(s))),
                    None => "not reached".to_owned(),
                },
                alarms,
            ));
        }
    }
    if let Some(o) = worked.leak {
        rows.push(row("oxygen in the end, by the leak alone", oxygen(o.steady()), balance));
    }
    if let Some(share) = worked.leak_closed {
        rows.push(row(
            format!("the same in a closed room after {}", lasts(gas::WEEKEND.value)),
            oxygen(share),
            balance,
        ));
    }
    if let Some((water, gas)) = setup.gas.and_then(|g| g.water_volume.zip(g.cylinder)) {
        rows.push(row(
            format!("a cylinder of {water} lets out, at most"),
            show_in(gas, Rounding::Up, 1, "m³"),
            content,
        ));
    }
    if let Some((liquid, gas)) = setup.gas.and_then(|g| g.liquid.zip(g.boiled())) {
        rows.push(row(
            format!("{liquid} of liquid become, at most"),
            show_in(gas, Rounding::Up, 1, "m³"),
            boiled,
        ));
    }
    if let Some(share) = worked.emptied {
        rows.push(row("oxygen after a cylinder emptied itself", oxygen(share), sudden));
    }
    if let Some(g) = &setup.gas {
        let weight = match g.kind {
            GasKind::Argon => ARGON_TO_AIR.value,
            GasKind::Nitrogen => NITROGEN_TO_AIR.value,
            GasKind::Helium => HELIUM_TO_AIR.value,
        };
        let what = format!("{}, weight against air", g.kind.word());
        rows.push(row(what, significant(weight, 3), density));
    }
    let gathers = match setup.gas.map(|g| g.kind) {
        Some(GasKind::Argon) => {
            "low places: argon gathers in pits, tanks, channels and behind kerbs; measure at the floor."
        }
        Some(GasKind::Nitrogen) => {
            "low places and vessels: cold nitrogen gathers in pits, tanks and channels, warm nitrogen anywhere; measure at the floor and where people breathe."
        }
        Some(GasKind::Helium) => {
            "high places: helium gathers under ceilings, in lofts and hoods; measure up there."
        }
        None => {
            "the places where gas gathers: argon and cold gas at the floor, helium under the ceiling."
        }
    };
    PartOut {
        title: "Gas".to_owned(),
        rows,
        sentences: vec![
            format!(
                "At {} everybody leaves the room and finds out why; at {} nobody enters without breathing apparatus. A person who faints gives no warning: whoever helps is alarmed first.",
                oxygen(FIRST_ALARM.value),
                oxygen(SECOND_ALARM.value)
            ),
            format!(
                "The room is taken as well mixed, which is not on the safe side for {gathers} Vessels and pipes that are purged hold none to breathe at all: they are closed to people, and said so by a sign."
            ),
        ],
    }
}

fn fume_part(setup: &Setup, worked: &Worked, out: &AreaOut) -> PartOut {
    let mut rows = Vec::new();
    if let Some(f) = &setup.fume {
        rows.push(stated("parent metal", f.parent.0));
        rows.push(stated("wire", f.wire.0));
    }
    for f in out.fume.iter().flatten() {
        for l in fume::LIMITS.iter().filter(|l| l.of.words()[0] == f.what) {
            rows.push(row(
                format!("{}, {}", f.what, l.kind),
                format!("{} {}: {}", significant(l.value.value, 3), l.unit(), l.jurisdiction),
                &l.value.source,
            ));
        }
    }
    if let Some([low, high]) = worked.hood {
        rows.push(row("hood draws at least", hourly(low), &source::DALLA_VALLE));
        if high > low {
            rows.push(row("in a draughty hall", hourly(high), &source::DALLA_VALLE));
        }
    }
    let mut sentences: Vec<String> =
        out.fume.iter().flatten().map(|f| format!("{}: {}.", f.what, f.does)).collect();
    let without: Vec<&str> = setup
        .fume
        .iter()
        .flat_map(|f| fume::expected(f.parent.1, f.wire.1))
        .filter(|c| !fume::has_european_limit(*c))
        .map(|c| c.words()[0])
        .collect();
    if setup.fume.is_some() {
        sentences.push(format!(
            "These are limits of the United States and of the European Union; the country's own hold as well, and where they are stricter, before them.{}",
            if without.is_empty() {
                String::new()
            } else {
                format!(
                    " The European Union has no limit here for {}: there the country's own is the only one.",
                    without.join(", ")
                )
            }
        ));
    }
    if setup.fume.is_none() {
        sentences.push("No parent metal is named, so nothing is said of what the fume holds: add [fume] with parent and wire.".to_owned());
    }
    if let Some(hood) = setup.fume.as_ref().and_then(|f| f.hood) {
        if let Some((hood, holds_to)) = beyond_its_relation(hood) {
            sentences.push(format!(
                "The hood is {} from the weld, and its relation holds to about {} (1.5 of its widths, Recalled): beyond that draughts decide, and no figure here says what it catches. Bring it nearer.",
                placed(hood.distance),
                show_in(holds_to, Rounding::Down, 2, "m")
            ));
        }
        let [least, most] = fume::CAPTURE.map(|c| c.value);
        let asked = hood.velocity.filter(|v| !(least..=most).contains(v));
        if let Some(v) = asked {
            sentences.push(format!(
                "{} is asked for at the weld, and 0.5 to 1 m/s are what carries welding fume: {}.",
                show_in(v, Rounding::Nearest, 2, "m/s"),
                if v < least {
                    "less leaves it where people breathe"
                } else {
                    "more takes the shielding gas away"
                }
            ));
        }
    }
    sentences.push(format!(
        "All welding fume counts as causing cancer ({}): draw it off at the weld. Above about 1 m/s at the nozzle the draught takes the shielding gas away as well.",
        cited(&WELDING_FUME_CANCER)
    ));
    PartOut { title: "Fume".to_owned(), rows, sentences }
}

/// Every source that was leant on.
#[must_use]
pub fn sources(setup: &Setup) -> Vec<Source> {
    let mut all: Vec<Source> = Vec::new();
    let mut add = |source: &Source| {
        if !all.contains(source) {
            all.push(*source);
        }
    };
    exposure::SOURCES.iter().for_each(&mut add);
    add(&source::IEC_60825_1_CLASSES);
    add(&exposure::UNSEEN_TIME.source);
    distance::SOURCES.iter().for_each(&mut add);
    eyewear::SOURCES.iter().for_each(&mut add);
    shade::SOURCES.iter().for_each(&mut add);
    barrier::SOURCES.iter().for_each(&mut add);
    gas::SOURCES.iter().for_each(&mut add);
    fume::SOURCES.iter().for_each(&mut add);
    if let Some(f) = &setup.fume {
        for of in fume::expected(f.parent.1, f.wire.1) {
            for l in fume::LIMITS.iter().filter(|l| l.of == of) {
                add(&l.value.source);
            }
        }
    }
    checks::LIST.iter().map(|c| &c.source).for_each(&mut add);
    etch::SOURCES.iter().for_each(&mut add);
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2 kW on a beam of 89.4 mm are 318 618 W/m², up to three figures 3.19e5; limits go down.
    #[test]
    fn both_units_of_a_power_density_are_rounded_one_way() {
        let e = Irradiance::from_w_per_m2(318_618.0);
        assert_eq!(density(e), "31.9 W/cm² (319 kW/m²)");
        assert_eq!(limit(e), "31.8 W/cm² (318 kW/m²)");
        assert_eq!(density(Irradiance::from_w_per_m2(9.999e6)), "1000 W/cm² (10.00 MW/m²)");
        assert_eq!(limit(Irradiance::from_w_per_m2(50.0)), "50.0 W/m² (5.00 mW/cm²)");
        assert_eq!(limit(Irradiance::from_w_per_m2(1e4)), "1.00 W/cm² (10.0 kW/m²)");
    }

    #[test]
    fn distances_go_up_and_oxygen_goes_down() {
        assert_eq!(far(Length::from_m(92.7058)), "92.8 m (305 ft)");
        assert_eq!(far(Length::from_m(3.0901)), "3.10 m (10.2 ft)");
        // By hand: 3568.3 m are 11 707.0 ft, and none of them is known to a foot.
        assert_eq!(far(Length::from_m(3568.3)), "3570 m (11710 ft)");
        assert_eq!(far(Length::from_m(159_577.0)), "160 km (99.2 mi)");
        assert_eq!(reach(Length::ZERO), "none");
        assert_eq!(oxygen(Share::from_percent(19.646)), "19.64 %");
        assert_eq!(up2(5.8918), "5.90");
        assert_eq!(up2(0.0), "0.00");
        assert_eq!(lasts(Duration::from_s(7300.0)), "2.0 h");
    }
}
