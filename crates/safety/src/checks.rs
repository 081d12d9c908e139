//! What belongs to a controlled area, by topic.
//!
//! Each line says what must be so, where it is published and how we know. Whoever signs the plan ticks it on site; the
//! laser safety officer may ask for more.
//!
//! Not covered: what a country's law asks beyond these.

use weld::source::{
    ANSI_Z49_1, EN_207_MARKING, EN_12254, IEC_60825_1_CLASS_4, IEC_60825_14_AREA, ISO_7010,
    ISO_11553_2, LASER_GEOMETRY, OXYGEN_ALARMS, PHOSGENE, Source,
};

/// One thing to check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// What it is about.
    pub topic: &'static str,
    /// What must be so.
    pub what: &'static str,
    /// Where it is from.
    pub source: Source,
}

const fn check(topic: &'static str, what: &'static str, source: Source) -> Check {
    Check { topic, what, source }
}

/// The list.
pub const LIST: [Check; 28] = [
    check(
        "interlock to the work",
        "The beam comes on only while the nozzle touches the work that is clamped to the same circuit, and goes off when it is lifted. Tried today, on scrap, without bridging.",
        ISO_11553_2,
    ),
    check(
        "interlock to the work: far side",
        "Everybody knows that the interlock does not see where the beam goes behind the joint, and counts on a beam stop there, not on it.",
        LASER_GEOMETRY,
    ),
    check(
        "trigger",
        "Two separate acts switch the beam on (arm, then trigger); letting go switches it off.",
        ISO_11553_2,
    ),
    check(
        "doors",
        "The remote interlock of the laser is wired to every door of the area; opening one switches the beam off, and closing it does not switch it on again.",
        IEC_60825_1_CLASS_4,
    ),
    check(
        "walls and doors",
        "Whatever the beam can strike, walls, shut doors, ceiling, stands it as long as somebody takes to switch off: masonry or metal, not timber, plastic, plasterboard or glass. A door with a pane is a window. An interlock acts when a door opens, not when the beam burns through it.",
        LASER_GEOMETRY,
    ),
    check(
        "upwards",
        "A torch that tips up finds no rooflight, upper window, gallery or gap over a curtain through which the beam leaves: the plan looks from above.",
        LASER_GEOMETRY,
    ),
    check(
        "curtains",
        "Drawn, overlapping, down to the floor, without burns, holes or gaps; the maker's rating is legible on each.",
        EN_12254,
    ),
    check(
        "key",
        "The key is out of the laser and with the person in charge whenever nobody trained is there.",
        IEC_60825_1_CLASS_4,
    ),
    check(
        "emergency stop",
        "Within reach of the operator and at the way out; tried.",
        IEC_60825_1_CLASS_4,
    ),
    check(
        "warning lamp",
        "A lamp at each entrance is on whenever the laser can emit.",
        IEC_60825_1_CLASS_4,
    ),
    check(
        "signs",
        "ISO 7010 W004 (laser beam) with class, wavelength and greatest power at each entrance; M004 (wear eye protection) with the marking that the eyewear must carry.",
        ISO_7010,
    ),
    check(
        "signs",
        "The label of the laser itself (class, visible and invisible radiation, aperture) is legible.",
        IEC_60825_1_CLASS_4,
    ),
    check(
        "training",
        "Everybody in the area is trained in laser safety and on this laser, with a record of it.",
        IEC_60825_14_AREA,
    ),
    check(
        "permission",
        "The laser safety officer has released this area in writing; only persons named may enter while the laser is armed.",
        IEC_60825_14_AREA,
    ),
    check(
        "bystanders",
        "Nobody stands opposite the joint, at any height, and nobody is in the area without eyewear for this wavelength, helpers included.",
        IEC_60825_14_AREA,
    ),
    check(
        "far side",
        "A beam stop that stands the beam (bare metal plate, firebrick; no paint, no plastic) is behind the joint: the beam goes through gaps, full-penetration passes, missed edges and past a shallow tee.",
        LASER_GEOMETRY,
    ),
    check(
        "reflective surroundings",
        "Bright metal, glass, tools, rings and watches are out of reach of the beam or covered; vices and clamps are dull.",
        IEC_60825_14_AREA,
    ),
    check(
        "pilot beam",
        "The pilot beam is seen on the work before each pass. It shows where the beam goes, not that it is safe; nobody looks into it either. Through laser eyewear it may not be seen at all.",
        IEC_60825_14_AREA,
    ),
    check(
        "eyes and face",
        "Laser eyewear by its marking, and over it a welding shade against the plume's blue and ultraviolet light: one does not do for the other.",
        LASER_GEOMETRY,
    ),
    check(
        "eyewear",
        "One pair for each person in the area, with the marking legible; lenses and side shields without scratches, cracks, burns or discoloration. What fails is cut up.",
        EN_207_MARKING,
    ),
    check(
        "skin",
        "No bare skin: gauntlets, jacket, collar closed, of leather or flame-resistant cotton. Synthetic cloth melts into the skin.",
        ANSI_Z49_1,
    ),
    check(
        "fire watch",
        "Nothing that burns within the reach of the beam and 11 m of sparks, or covered; extinguisher at hand; somebody watches during the work and for an hour after it.",
        ANSI_Z49_1,
    ),
    check(
        "solvents",
        "No chlorinated solvent in the area, not on parts, not in the air: near beam or arc it makes phosgene, which kills hours later. Parts are degreased with something else, and dry.",
        PHOSGENE,
    ),
    check(
        "coatings",
        "Zinc and other coatings are ground off both sides, or extraction and a respirator are in use: zinc fume brings fume fever.",
        ANSI_Z49_1,
    ),
    check(
        "fume",
        "The hood is at the weld, runs, and was measured; the head stays out of the plume.",
        ANSI_Z49_1,
    ),
    check(
        "gas",
        "An oxygen alarm (19.5 and 18 %) is where people breathe and where gas gathers: argon and cold gas at the floor, in pits and vessels; helium under the ceiling and in hoods.",
        OXYGEN_ALARMS,
    ),
    check(
        "vessels and pits",
        "Nobody enters a vessel, tank, pit or channel that shielding or purging gas can reach without a permit, a measurement and somebody outside (sign ISO 7010 W041); gas is shut at the cylinder when work stops.",
        ANSI_Z49_1,
    ),
    check(
        "emergency",
        "After any exposure of an eye: laser off, keep the person still, to an eye clinic the same day, with wavelength, power and time written down.",
        IEC_60825_14_AREA,
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// The topics that the safety issue asks for are there.
    #[test]
    fn every_topic_is_there() {
        for topic in [
            "interlock to the work",
            "key",
            "signs",
            "training",
            "permission",
            "fire watch",
            "reflective surroundings",
            "bystanders",
            "pilot beam",
            "far side",
            "solvents",
        ] {
            assert!(LIST.iter().any(|c| c.topic == topic), "{topic}");
        }
    }
}
