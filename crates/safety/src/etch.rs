//! What an etchant is for, and what it may never meet.
//!
//! Before any recipe: the acid's own safety data sheet, gloves and goggles that it names, a fume hood, an eyewash within
//! ten seconds. **Acid into water**, never water into acid. Disposal by the local rules, never into a drain.
//!
//! Sources: [`ASTM_E407`], [`ETCHANT_HAZARDS`], recalled; nitric acid in ethanol, [`NITRIC_ETHANOL`], quoted.
//!
//! Not covered: electrolytic polishing (perchloric acid explodes: not for a shop), recipes for metals not named here.

use weld::source::{ASTM_E407, ETCHANT_HAZARDS, NITRIC_ETHANOL, Source};

/// Sources of the table.
pub const SOURCES: [Source; 3] = [ASTM_E407, ETCHANT_HAZARDS, NITRIC_ETHANOL];

/// An etchant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Etchant {
    /// Its name.
    pub name: &'static str,
    /// For which alloys.
    pub alloys: &'static str,
    /// Usual strength, and how it is used.
    pub strength: &'static str,
    /// What never to mix it with, nor how to store it.
    pub never: &'static str,
    /// First aid, in a few words; the data sheet has the rest.
    pub first_aid: &'static str,
    /// Only for persons trained for it.
    pub trained_only: bool,
    /// Where it is from.
    pub source: Source,
}

const WATER: &str =
    "Skin: off with the clothes, water for 15 min. Eyes: eyewash for 15 min, then a doctor.";
const FLUORIDE: &str = "Every splash is an emergency, painless at first: water at once, calcium gluconate gel on the skin, a doctor immediately. The gel is at hand and in date before the bottle is opened.";

/// The table.
pub const TABLE: [Etchant; 11] = [
    Etchant {
        name: "nital",
        alloys: "structural steel",
        strength: "2 to 5 % nitric acid in ethanol (macro: up to 10 %, made fresh); swab or dip, seconds to a minute",
        never: "Above about 5 % never stored, and never in a closed bottle: it builds pressure and bursts. Acid into ethanol, slowly, cold; never nitric acid with acetone, isopropanol or glycerol, nor into their waste.",
        first_aid: WATER,
        trained_only: false,
        source: ETCHANT_HAZARDS,
    },
    Etchant {
        name: "ammonium persulphate",
        alloys: "structural steel, weld macros",
        strength: "10 % in water, made fresh; swab",
        never: "Never stored as a solution in a closed bottle: it gives off oxygen. Never with acids, solvents or metal powder; the dry salt feeds fire.",
        first_aid: WATER,
        trained_only: false,
        source: ASTM_E407,
    },
    Etchant {
        name: "ferric chloride",
        alloys: "stainless steel, copper alloys",
        strength: "in water with hydrochloric acid; swab, seconds",
        never: "Never in a metal vessel or drain. With hydrochloric acid in it never capped tight, and never with bleach: chlorine.",
        first_aid: WATER,
        trained_only: false,
        source: ASTM_E407,
    },
    Etchant {
        name: "Kalling's no. 2",
        alloys: "stainless steel, nickel alloys",
        strength: "5 g copper(II) chloride, 100 ml hydrochloric acid, 100 ml ethanol; swab",
        never: "Never capped tight, never stored long, never with bleach; away from flame: it holds alcohol.",
        first_aid: WATER,
        trained_only: false,
        source: ASTM_E407,
    },
    Etchant {
        name: "oxalic acid, electrolytic",
        alloys: "austenitic stainless steel",
        strength: "10 % in water, about 6 V, up to a minute",
        never: "Poisonous when swallowed; never near food, never heated dry. Dry hands and an isolated supply: current and acid together.",
        first_aid: "As other acids; swallowed: a doctor at once, with the data sheet.",
        trained_only: false,
        source: ASTM_E407,
    },
    Etchant {
        name: "hydrochloric acid",
        alloys: "steel macros",
        strength: "1:1 with water, warm, under a hood only",
        never: "Mixes never capped, never with bleach (chlorine), never with nitric acid unless trained (aqua regia, never stored). It rusts every tool in the room.",
        first_aid: WATER,
        trained_only: false,
        source: ETCHANT_HAZARDS,
    },
    Etchant {
        name: "caustic soda",
        alloys: "aluminium macros",
        strength: "10 % sodium hydroxide in water, about 60 °C; rinse, brighten with dilute nitric acid",
        never: "Never into a closed vessel with aluminium: hydrogen. Never with acids in one bath. Pellets into water, slowly: it boils up.",
        first_aid: "Worse for eyes than acid: eyewash at once and for 30 min, then a doctor.",
        trained_only: false,
        source: ETCHANT_HAZARDS,
    },
    Etchant {
        name: "Keller's",
        alloys: "aluminium",
        strength: "95 ml water, 2.5 ml nitric, 1.5 ml hydrochloric, 1.0 ml hydrofluoric acid",
        never: "Holds hydrofluoric acid. Never in glass, never alone, never without calcium gluconate at hand.",
        first_aid: FLUORIDE,
        trained_only: true,
        source: ETCHANT_HAZARDS,
    },
    Etchant {
        name: "Kroll's",
        alloys: "titanium",
        strength: "100 ml water, 2 to 6 ml nitric, 1 to 3 ml hydrofluoric acid",
        never: "Holds hydrofluoric acid. Never in glass, never alone, never without calcium gluconate at hand.",
        first_aid: FLUORIDE,
        trained_only: true,
        source: ETCHANT_HAZARDS,
    },
    Etchant {
        name: "phosphoric rust remover",
        alloys: "structural steel, a first look",
        strength: "as sold, 10 to 30 % phosphoric acid; swab",
        never: "Never with bleach or caustic cleaners. Some hold other acids as well: read the label, and hydrofluoric acid on it means trained persons only.",
        first_aid: WATER,
        trained_only: false,
        source: ETCHANT_HAZARDS,
    },
    Etchant {
        name: "picric acid (picral)",
        alloys: "structural steel, carbides",
        strength: "4 % in ethanol, bought made up",
        never: "Dry picric acid explodes: never let it dry, not in the bottle's thread, not in a cloth, never in metal vessels. An old bottle is not opened; call the disposal service.",
        first_aid: WATER,
        trained_only: true,
        source: ETCHANT_HAZARDS,
    },
];

/// What holds for all of them, and for cutting.
pub const ALWAYS: [&str; 8] = [
    "Gloves that the data sheet names, goggles (not spectacles), apron; a fume hood for anything that smells or is warm.",
    "Acid into water, slowly; never water into acid.",
    "Eyewash and water within ten seconds of the place; whoever etches is never alone in the building.",
    "Small amounts, made fresh, labelled with name, strength and date; nothing unlabelled, nothing in drinks bottles.",
    "Used etchant and its cloths by the local rules for hazardous waste, each in its own vented container; never into a drain.",
    "Rinse with water, then dry with ethanol away from flame and beam; acetone and isopropanol never meet nitric acid, not even in the waste.",
    "No chlorinated solvent to degrease a part that will be welded or is near beam or arc: phosgene. Parts are dry before they come into the area.",
    "Cutting: guard closed, part clamped, goggles, coolant on; aluminium, magnesium and titanium dust apart from steel's: together they burn.",
];

#[cfg(test)]
mod tests {
    use super::*;

    fn of(name: &str) -> &'static Etchant {
        TABLE.iter().find(|e| e.name.contains(name)).unwrap()
    }

    /// Each caution that the safety issue names stands where a reader of that etchant meets it.
    #[test]
    fn every_caution_is_there() {
        for (name, words) in [
            ("nital", "Above about 5 % never stored, and never in a closed bottle"),
            ("nital", "acetone, isopropanol or glycerol"),
            ("hydrochloric", "never capped, never with bleach"),
            ("picric", "Dry picric acid explodes"),
            ("Keller", "hydrofluoric acid"),
            ("Kroll", "hydrofluoric acid"),
            ("phosphoric", "Never with bleach"),
        ] {
            assert!(of(name).never.contains(words), "{name}: {words}");
        }
        for name in ["Keller", "Kroll"] {
            assert!(of(name).trained_only && of(name).first_aid.contains("calcium gluconate"));
        }
        for name in ["persulphate", "ferric chloride", "Kalling", "oxalic", "caustic soda"] {
            assert!(!of(name).never.is_empty() && !of(name).first_aid.is_empty());
        }
        let always = ALWAYS.join(" ");
        for words in [
            "Acid into water",
            "Eyewash",
            "Gloves",
            "goggles",
            "fume hood",
            "phosgene",
            "local rules for hazardous waste",
        ] {
            assert!(always.contains(words), "{words}");
        }
    }
}
