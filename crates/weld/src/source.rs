//! Every published source we lean on, once.
//!
//! A formula or a number names its source by linking to a constant here, so rustdoc refuses a citation that does
//! not exist, a house rule refuses one that nobody uses, and a report can print the list.

/// A published source, down to the clause, page or table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Title, edition and year.
    pub title: &'static str,
    /// Clause, table, equation or page.
    pub place: &'static str,
    /// How we know what it says.
    pub seen: Seen,
}

/// How we know what a source says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// Someone on this project had the page in front of them.
    Read,
    /// Quoted by another publication that we did read.
    QuotedBy(&'static str),
    /// From memory; printed with that word beside it until somebody reads the standard.
    Recalled,
}

/// A number together with where it was published.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sourced<T> {
    /// The number, with its unit in its type or its name.
    pub value: T,
    /// Where it was published.
    pub source: Source,
}

/// Throat of a fillet weld, and when penetration may be counted.
pub const EN_1993_1_8_THROAT: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.5.2(1) largest inscribed triangle; 4.5.2(3) deep penetration, Figure 4.4",
    seen: Seen::Recalled,
};

/// Two-sided partial-penetration tee butt treated as full penetration.
pub const EN_1993_1_8_TEE_BUTT: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.7.3(1): sum of throats >= t and unwelded gap <= min(t/5, 3 mm)",
    seen: Seen::Recalled,
};

/// Credit for penetration beyond the root, United States.
pub const AISC_360_EFFECTIVE_THROAT: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "J2.2a: larger effective throat where consistent penetration beyond the root is shown by tests",
    seen: Seen::QuotedBy("a public lecture on AISC weld design that repeats the clause"),
};

/// The trade's definitions of leg, size, actual and effective throat.
pub const AWS_A3_0_TERMS: Source = Source {
    title: "AWS A3.0, Standard Welding Terms and Definitions",
    place: "actual throat, effective throat, theoretical throat, fillet weld size, dilution, overlap, undercut",
    seen: Seen::Recalled,
};

/// Names and numbers of weld imperfections.
pub const ISO_6520_1: Source = Source {
    title: "ISO 6520-1:2007, Classification of geometric imperfections in metallic materials",
    place: "503 excessive convexity, 506 overlap, 512 asymmetry, 5011/5012 undercut, 507 linear misalignment",
    seen: Seen::Recalled,
};

/// Guide to the expression of uncertainty: what a standard uncertainty is.
pub const JCGM_100: Source = Source {
    title: "JCGM 100:2008, Guide to the expression of uncertainty in measurement",
    place: "2.3.1, 4.3.7 (rectangular), 5.1 (propagation)",
    seen: Seen::Recalled,
};

/// Propagation of distributions by Monte Carlo.
pub const JCGM_101: Source = Source {
    title: "JCGM 101:2008, Propagation of distributions using a Monte Carlo method",
    place: "7 (procedure), 5.3.4 and 7.7 (shortest coverage interval)",
    seen: Seen::Recalled,
};

/// Exposure limits of the eye, 400 to 1400 nm.
pub const IEC_60825_1_EYE: Source = Source {
    title: "IEC 60825-1:2014, Safety of laser products: equipment classification and requirements",
    place: "Table A.1: 10 C4 C7 W/m2 from 10 s; 18 C4 t^0.75 and 90 C7 t^0.75 J/m2 below; 100 C3 J/m2 and C3 W/m2 (photochemical)",
    seen: Seen::Recalled,
};

/// Exposure limits of the eye for extended sources.
pub const IEC_60825_1_EXTENDED: Source = Source {
    title: "IEC 60825-1:2014, Safety of laser products: equipment classification and requirements",
    place: "Table A.2, Table 9: C6 = alpha/1.5 mrad, T2, greatest alpha 5 mrad, 200 t^0.5 mrad, 100 mrad; 4.3: an oblong source by the mean of its greatest and least angle",
    seen: Seen::Recalled,
};

/// Exposure limits of the skin, 400 to 1400 nm.
pub const IEC_60825_1_SKIN: Source = Source {
    title: "IEC 60825-1:2014, Safety of laser products: equipment classification and requirements",
    place: "Table A.5: 200 C4 and 1.1e4 C4 t^0.25 J/m2 to 10 s; 2000 C4 W/m2 beyond",
    seen: Seen::Recalled,
};

/// Repeated pulses.
pub const IEC_60825_1_PULSES: Source = Source {
    title: "IEC 60825-1:2014, Safety of laser products: equipment classification and requirements",
    place: "4.3 f) and A.3: single pulse, mean, and single pulse x C5; Ti 5 us (400 to 1050 nm), 13 us (1050 to 1400 nm)",
    seen: Seen::Recalled,
};

/// Apertures that irradiance is averaged over.
pub const IEC_60825_1_APERTURE: Source = Source {
    title: "IEC 60825-1:2014, Safety of laser products: equipment classification and requirements",
    place: "Table A.6: 7 mm for the eye, 3.5 mm for the skin, 400 to 1400 nm",
    seen: Seen::Recalled,
};

/// Anchor of the visible limits: 633 nm, long exposure, eye 1 mW/cm2, skin 200 mW/cm2.
pub const IEC_60825_1_VISIBLE: Source = Source {
    title: "BS EN 60825-1:2014, Safety of laser products",
    place: "633 nm, long exposure: eye 1 mW/cm2, skin 200 mW/cm2",
    seen: Seen::QuotedBy(
        "a textbook that cites the standard, online.flipbuilder.com/rbhw/egvu, page 104",
    ),
};

/// Correction factors by wavelength and angle: C4, C3, C7, C6 and T2, under their older names.
pub const ICNIRP_FACTORS: Source = Source {
    title: "Directive 2006/25/EC, Annex II, after ICNIRP",
    place: "Table 2.5: C_A (C4), C_B (C3), C_C (C7), C_E (C6), T2",
    seen: Seen::QuotedBy(
        "arbeidstilsynet.no, Norwegian regulation on action and limit values, annex 4 table 4.5",
    ),
};

/// Worst-case time of an unintended exposure.
pub const IEC_60825_14_TIME: Source = Source {
    title: "IEC 60825-14, Safety of laser products: a user's guide",
    place: "unintended exposure above 400 nm: 100 s",
    seen: Seen::QuotedBy("mealir.com, AS/NZS IEC 60825-14:2011"),
};

/// Controlled area of a class 4 laser.
pub const IEC_60825_14_AREA: Source = Source {
    title: "IEC 60825-14, Safety of laser products: a user's guide",
    place: "controlled area, safety officer, signs, training, key, reflective surfaces, written permission",
    seen: Seen::Recalled,
};

/// Limit of a short look into a visible beam.
pub const ANSI_Z136_1_VISIBLE: Source = Source {
    title: "ANSI Z136.1, American National Standard for Safe Use of Lasers",
    place: "0.25 s visible: 1.8e-3 t^0.75 J/cm2, 7 mm",
    seen: Seen::QuotedBy(
        "health.phys.iit.edu/extended_archive/0006/msg00577.html, worked by a health physicist",
    ),
};

/// Hazard distance of a bare beam.
pub const ANSI_Z136_1_RANGE: Source = Source {
    title: "ANSI Z136.1, American National Standard for Safe Use of Lasers",
    place: "range equation [sqrt(4P/(pi MPE)) - a]/phi; 1 W, 1 mrad, visible: 225 m",
    seen: Seen::QuotedBy("a textbook, online.flipbuilder.com/rbhw/egvu, page 110"),
};

/// Hazard distance beyond a focus.
pub const ANSI_Z136_1_LENS: Source = Source {
    title: "ANSI Z136.1-2014, American National Standard for Safe Use of Lasers",
    place: "Appendix B, lens on laser: (f/b)(4P/(pi MPE))^0.5",
    seen: Seen::QuotedBy("public code that quotes the form"),
};

/// Hazard distance of a fibre's end.
pub const ANSI_Z136_1_FIBRE: Source = Source {
    title: "ANSI Z136.1-2014, American National Standard for Safe Use of Lasers",
    place: "Appendix B: multimode 1.7/NA sqrt(P/(pi MPE)) with NA at 5 % of the peak; single mode (w/lambda) sqrt(pi P/(2 MPE))",
    seen: Seen::Recalled,
};

/// Worked hazard zones, Nd:YAG 100 W.
pub const OSHA_HAZARD_ZONE: Source = Source {
    title: "OSHA Technical Manual, Section III, Chapter 6, Laser Hazards",
    place: "hazard-zone table: 2 mrad, 2 mm, 10 s: 792 m, diffuse 0.8 m; 8 h: 1410 m, 1.4 m",
    seen: Seen::Recalled,
};

/// Beam widths and beam parameter product.
pub const ISO_11146_1: Source = Source {
    title: "ISO 11146-1, Lasers and laser-related equipment: beam widths, divergence angles and beam propagation ratios",
    place: "M2 = BPP pi/lambda",
    seen: Seen::QuotedBy("timbercon.com/resources/glossary/m2-factor"),
};

/// Optical density that an exposure needs.
pub const OPTICAL_DENSITY: Source = Source {
    title: "ANSI Z136.1, American National Standard for Safe Use of Lasers",
    place: "OD = log10(H0/MPE): 12.5 J/cm2 over 5e-6 J/cm2 gives 6.4",
    seen: Seen::QuotedBy("a textbook, online.flipbuilder.com/rbhw/egvu, page 111"),
};

/// Scale numbers of laser eyewear.
pub const EN_207_SCALE: Source = Source {
    title: "EN 207:2017, Personal eye-protection: filters and eye-protectors against laser radiation",
    place: "D mode, above 315 to 1400 nm: LBn stands 10^(n+1) W/m2; transmittance at most 10^-n",
    seen: Seen::QuotedBy("an encyclopaedia, wikiblah.com/wiki/en-207"),
};

/// Worked scale number; the source prints W/cm2 where W/m2 is meant.
pub const EN_207_WORKED: Source = Source {
    title: "EN 207, worked example",
    place: "50 W on 5 mm, 1064 nm: 2.55e6 W/m2, D LB6",
    seen: Seen::QuotedBy("a textbook, online.flipbuilder.com/rbhw/egvu, page 114"),
};

/// Scale numbers for pulses and for wide beams.
pub const EN_207_PULSED: Source = Source {
    title: "EN 207:2017, Personal eye-protection: filters and eye-protectors against laser radiation",
    place: "Tables 1 and B.1: I, R mode LBn stands 5 x 10^(n-3) J/m2 x N^-0.25, N pulses in 5 s; pulses longer than 0.25 s count as D; wide beam: F(d) = d^1.7 (glass, d63 in mm, 1 to 15)",
    seen: Seen::Recalled,
};

/// Marking of laser eyewear, and its least luminous transmittance.
pub const EN_207_MARKING: Source = Source {
    title: "EN 207:2017, Personal eye-protection: filters and eye-protectors against laser radiation",
    place: "9 marking: wavelengths, modes D I R M, LB number; 4.2: luminous transmittance 20 % or a word about lighting",
    seen: Seen::Recalled,
};

/// Shade numbers and their luminous and infrared transmittance.
pub const ANSI_Z87_1_SHADE: Source = Source {
    title: "ANSI Z87.1, Occupational and Educational Personal Eye and Face Protection Devices",
    place: "S = (7/3) log10(1/tau) + 1; shade 14: infrared 0.3 %",
    seen: Seen::QuotedBy(
        "medicalalgorithms.com, transmittance and shade number of an optical filter",
    ),
};

/// Least shade by process and current.
pub const OSHA_1910_133: Source = Source {
    title: "29 CFR 1910.133, Eye and face protection",
    place: "(a)(5), filter lenses for radiant energy: GMAW, FCAW, GTAW, SMAW",
    seen: Seen::QuotedBy("casetext.com, title 29, section 1910.133"),
};

/// What a laser guard or curtain stands, and how long.
pub const IEC_60825_4: Source = Source {
    title: "IEC 60825-4, Safety of laser products: laser guards",
    place: "inspection intervals T1 30 000 s, T2 100 s, T3 10 s",
    seen: Seen::Recalled,
};

/// Laser screens and curtains.
pub const EN_12254: Source = Source {
    title: "EN 12254:2010, Screens for laser working places: safety requirements and testing",
    place: "scale numbers AB, test of 100 s",
    seen: Seen::Recalled,
};

/// Oxygen beside a slow release.
pub const OXFORD_S4_03: Source = Source {
    title: "University of Oxford, University Policy Statement S4/03, Appendix 1 (BCGA method)",
    place: "21 L/(V N): 36 m3, 0.4 per hour, 0.044 m3/h: 0.06 %",
    seen: Seen::QuotedBy("admin.ox.ac.uk/safety/s403a1.shtml"),
};

/// Oxygen after a sudden release.
pub const SUDDEN_RELEASE: Source = Source {
    title: "UK research-safety code, code of practice",
    place: "Appendix 3: 0.21 (V - Vg)/V; 0.1 m3 of liquid nitrogen in 180 m3: 12.9 %",
    seen: Seen::QuotedBy("studylib.net/doc/8863179"),
};

/// Oxygen alarms and the size of a cylinder.
pub const OXYGEN_ALARMS: Source = Source {
    title: "SOM036a, a university's guide on oxygen depletion",
    place: "alarms 19.5 and 18 %; cylinder size W 11.01 m3 of argon",
    seen: Seen::QuotedBy("studylib.net/doc/6714392"),
};

/// What a gas cylinder holds.
pub const CYLINDER_CONTENT: Source = Source {
    title: "makers' tables of gas cylinders",
    place: "50 l at 200 bar: 10.7 m3 of argon, some 9.5 of nitrogen, 9.1 of helium; bundles to some 0.6 m3 of water volume",
    seen: Seen::Recalled,
};

/// What liquefied gases come to when they boil off.
pub const LIQUEFIED_GASES: Source = Source {
    title: "makers' tables of liquefied gases",
    place: "gas at 20 degrees C and 1 bar from a volume of liquid: argon 840, nitrogen 696, helium 757 times",
    seen: Seen::Recalled,
};

/// Oxygen in a room with a steady leak of inert gas.
pub const OXYGEN_BALANCE: Source = Source {
    title: "Oxygen mass balance, Oxygen depletion in a fixed volume due to an inert gas leak",
    place: "mass balance of a well-mixed room",
    seen: Seen::QuotedBy("casualprocessengineer.com"),
};

/// Argon is heavier than air.
pub const ARGON_DENSITY: Source = Source {
    title: "CRC Handbook, Chemistry and Physics",
    place: "molar mass: argon 39.95, nitrogen 28.01, helium 4.00, air 28.96 g/mol",
    seen: Seen::Recalled,
};

/// Hexavalent chromium, United States.
pub const OSHA_1910_1026: Source = Source {
    title: "29 CFR 1910.1026, Chromium (VI)",
    place: "8 h 5 ug/m3, action level 2.5 ug/m3",
    seen: Seen::QuotedBy("amienvironmental.com, OSHA to target compliance for hexavalent chromium"),
};

/// Manganese, United States.
pub const MANGANESE_LIMITS: Source = Source {
    title: "29 CFR 1910.1000 and ACGIH, Threshold Limit Values 2013",
    place: "OSHA ceiling 5 mg/m3; ACGIH 0.02 (respirable), 0.1 mg/m3 (inhalable)",
    seen: Seen::QuotedBy("ei1.com, meeting the 2013 manganese threshold limit value"),
};

/// Hexavalent chromium, stricter recommendations.
pub const CHROMIUM_STRICTER: Source = Source {
    title: "NIOSH and ACGIH, NIOSH 2013-128 and Threshold Limit Values 2018",
    place: "NIOSH 0.2 ug/m3; ACGIH 0.2, short term 0.5 ug/m3 (inhalable)",
    seen: Seen::Recalled,
};

/// Zinc oxide fume, United States, and fume fever.
pub const ZINC_OXIDE_LIMIT: Source = Source {
    title: "29 CFR 1910.1000, as in an AWS safety and health fact sheet (no. 25)",
    place: "zinc oxide fume 5 mg/m3; metal fume fever",
    seen: Seen::QuotedBy("safetynwork.blogspot.com, metal fume fever"),
};

/// Air contaminants, United States.
pub const OSHA_1910_1000: Source = Source {
    title: "29 CFR 1910.1000, Air contaminants",
    place: "Table Z-1: nickel 1 mg/m3, iron oxide fume 10 mg/m3, ozone 0.1 ppm, aluminium respirable 5 mg/m3",
    seen: Seen::Recalled,
};

/// Hexavalent chromium and nickel, European Union.
pub const EU_CARCINOGENS: Source = Source {
    title: "Directive 2004/37/EC, as amended by (EU) 2017/2398 and (EU) 2022/431",
    place: "chromium(VI) 0.005 mg/m3 (from January 2025); nickel compounds 0.01 respirable, 0.05 mg/m3 inhalable",
    seen: Seen::Recalled,
};

/// Manganese, European Union.
pub const EU_MANGANESE: Source = Source {
    title: "Directive (EU) 2017/164, indicative limit values",
    place: "manganese 0.05 respirable, 0.2 mg/m3 inhalable",
    seen: Seen::Recalled,
};

/// Recommended limits of fume.
pub const ACGIH_TLV: Source = Source {
    title: "ACGIH, Threshold Limit Values",
    place: "aluminium 1 mg/m3 respirable; zinc oxide 2, short term 10 mg/m3 respirable; nickel, inhalable, 1.5 mg/m3 (metal), 0.2 (insoluble compounds); iron oxide 5 mg/m3 respirable; ozone 0.05 ppm at heavy work",
    seen: Seen::Recalled,
};

/// Recommended limit of nickel.
pub const NIOSH_REL: Source = Source {
    title: "NIOSH, Recommended Exposure Limits (Pocket Guide to Chemical Hazards)",
    place: "nickel metal and compounds, as Ni: 0.015 mg/m3",
    seen: Seen::Recalled,
};

/// Welding fume as such.
pub const WELDING_FUME_CANCER: Source = Source {
    title: "IARC Monographs volume 118 (2018)",
    place: "welding fumes: group 1, carcinogenic to humans",
    seen: Seen::Recalled,
};

/// What fume a parent metal and its wire give.
pub const FUME_BY_METAL: Source = Source {
    title: "AWS Welding Handbook, safe practices; EN ISO 15011-4",
    place: "constituents of fume by filler and parent metal",
    seen: Seen::Recalled,
};

/// Air flow of a hood.
pub const DALLA_VALLE: Source = Source {
    title: "Dalla Valle, Exhaust hoods (1952); ACGIH, Industrial Ventilation",
    place: "Q = v (10 x^2 + A) plain opening, 0.75 of it with a flange; to about 1.5 diameters of the hood",
    seen: Seen::Recalled,
};

/// Air velocity that carries welding fume to a hood.
pub const CAPTURE_VELOCITY: Source = Source {
    title: "ACGIH, Industrial Ventilation: welding 0.5 to 1.0 m/s",
    place: "capture velocities by process",
    seen: Seen::QuotedBy(
        "engineeringniche.com, calculating capture velocity for effective fume extraction",
    ),
};

/// What a class 4 laser must have.
pub const IEC_60825_1_CLASS_4: Source = Source {
    title: "IEC 60825-1:2014, Safety of laser products: equipment classification and requirements",
    place: "6 and 7: remote interlock connector, key control, emission warning, labels; class 4",
    seen: Seen::Recalled,
};

/// Classes of lasers by the power that they let out.
pub const IEC_60825_1_CLASSES: Source = Source {
    title: "IEC 60825-1:2014, Safety of laser products: equipment classification and requirements",
    place: "Tables 3 to 8, continuous: class 1 to 0.39 mW x C4 C7 (400 to 700 nm 0.39 mW), 2 to 1 mW (400 to 700 nm), 3R to five times as much, 3B to 0.5 W; a pulse of class 3B to 0.03 C4 J (0.15 J from 1050 nm)",
    seen: Seen::Recalled,
};

/// Hand-held laser processing devices.
pub const ISO_11553_2: Source = Source {
    title: "ISO 11553-2, Safety of machinery: laser processing machines: hand-held devices",
    place: "emission only with the nozzle on the work; two-step release; no unintended emission",
    seen: Seen::Recalled,
};

/// Signs.
pub const ISO_7010: Source = Source {
    title: "ISO 7010, Graphical symbols: safety signs",
    place: "W004 warning: laser beam; M004 wear eye protection; W041 asphyxiating atmosphere",
    seen: Seen::Recalled,
};

/// Safe practice of welding.
pub const ANSI_Z49_1: Source = Source {
    title: "ANSI Z49.1, Safety in Welding, Cutting, and Allied Processes",
    place: "fire watch 30 min (1 h by later NFPA 51B); confined spaces; clothing; coatings; chlorinated solvents",
    seen: Seen::Recalled,
};

/// Chlorinated solvent near an arc makes phosgene.
pub const PHOSGENE: Source = Source {
    title: "ANSI Z49.1 and OSHA on welding health hazards",
    place: "chlorinated hydrocarbons decompose in heat and ultraviolet light to phosgene",
    seen: Seen::QuotedBy(
        "a welding machine's safety sheet after ANSI Z49.1, powertool.manualsonline.com, and an owners' forum that quotes OSHA, luxurycoachlifestyle.com",
    ),
};

/// Etchants and their strengths.
pub const ASTM_E407: Source = Source {
    title: "ASTM E407, E340, microetching and macroetching of metals and alloys",
    place: "tables of etchants; safety precautions",
    seen: Seen::Recalled,
};

/// What etchants must never be mixed with, stored with, or dried to.
pub const ETCHANT_HAZARDS: Source = Source {
    title: "Vander Voort, Metallography: Principles and Practice; Bretherick's Handbook of Reactive Chemical Hazards",
    place: "laboratory safety; nitric acid and organic solvents; picric acid; hydrofluoric acid",
    seen: Seen::Recalled,
};

/// Nitric acid and ethanol in a closed bottle.
pub const NITRIC_ETHANOL: Source = Source {
    title: "Hong Kong University of Science and Technology, An explosive nitric acid-ethanol mixture",
    place: "1:2 mixture, capped: exploded after 4 hours",
    seen: Seen::QuotedBy("ab.ust.hk/hseo/tips/ls/ls005.htm"),
};

/// What follows from geometry alone.
pub const LASER_GEOMETRY: Source = Source {
    title: "Geometry, worked out in Seamproof",
    place: " reflections, lines of sight, gaps and heights follow from geometry",
    seen: Seen::Read,
};

/// The exact one-sided normal tolerance factor by the non-central t.
pub const ISO_16269_6: Source = Source {
    title: "ISO 16269-6:2014, Statistical interpretation of data: determination of statistical tolerance intervals",
    place: "formula A.13; Annex C tables",
    seen: Seen::QuotedBy("rdrr.io, leistungstests, page kc, which gives the formula"),
};

/// Tolerance limits for one-way random models by generalised confidence intervals.
pub const KRISHNAMOORTHY_MATHEW_2004: Source = Source {
    title: "Krishnamoorthy and Mathew, One-sided tolerance limits in balanced and unbalanced one-way random models based on generalized confidence intervals, Technometrics 46 (2004) 44",
    place: "generalised pivotal quantity, balanced and unbalanced",
    seen: Seen::Recalled,
};

/// Unweighted means and the harmonic mean of the sample sizes, for unbalanced one-way data.
pub const THOMAS_HULTQUIST_1978: Source = Source {
    title: "Thomas and Hultquist, Interval estimation for the unbalanced case of the one-way random effects model, Annals of Statistics 6 (1978) 582",
    place: "sum of squares of the unweighted group means",
    seen: Seen::Recalled,
};

/// Non-parametric tolerance limits from order statistics.
pub const WILKS_1941: Source = Source {
    title: "Wilks, Determination of sample sizes for setting tolerance limits, Annals of Mathematical Statistics 12 (1941) 91",
    place: "one-sided limit by an order statistic",
    seen: Seen::Recalled,
};

/// Anderson-Darling statistic with mean and spread estimated: modified form and critical values.
pub const STEPHENS_1974: Source = Source {
    title: "Stephens, EDF statistics for goodness of fit and some comparisons, Journal of the American Statistical Association 69 (1974) 730; D'Agostino and Stephens, Goodness-of-fit techniques, 1986",
    place: "Table 4.7, case 3: A*(1 + 0.75/n + 2.25/n^2), 0.752 at 5 %",
    seen: Seen::Recalled,
};

/// Certified analysis of variance, silicon resistivity.
pub const NIST_STRD_SIRSTV: Source = Source {
    title: "NIST Statistical Reference Datasets, analysis of variance, SiRstv",
    place: "25 values in 5 groups, certified sums of squares and F",
    seen: Seen::QuotedBy("stata.com/support/cert/nist9/anova/sires.do"),
};

/// Factors between the shop's units and SI: inch, pound-force, kip, cubic foot, degree Fahrenheit.
pub const NIST_SP_811: Source = Source {
    title: "NIST SP 811, Guide for the Use of the International System of Units (2008)",
    place: "Appendix B, factors for units; 1 in = 25.4 mm exactly, 1 lbf = 4.448222 N",
    seen: Seen::Recalled,
};

/// Which parts the weld rules cover.
pub const EN_1993_1_8_SCOPE: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.1(1): parts of 4 mm and over; thinner ones: EN 1993-1-3",
    seen: Seen::Recalled,
};

/// Weld metal not weaker than the parent metal.
pub const EN_1993_1_8_CONSUMABLES: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.2(2): yield and tensile strength of the filler equivalent to, or better than, the parent metal's",
    seen: Seen::Recalled,
};

/// Between which angles a fillet weld is a fillet weld.
pub const EN_1993_1_8_ANGLE: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.3.2.1: 60 to 120 degrees; below 60 a partial-penetration butt weld; above 120 by testing",
    seen: Seen::Recalled,
};

/// Length that counts, and the least one.
pub const EN_1993_1_8_EFFECTIVE_LENGTH: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.5.1: overall length less 2a unless full size to the ends; at least 30 mm and 6a",
    seen: Seen::Recalled,
};

/// Least throat of a fillet weld.
pub const EN_1993_1_8_LEAST_THROAT: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.5.2(2): a >= 3 mm",
    seen: Seen::Recalled,
};

/// Directional method: stresses on the throat.
pub const EN_1993_1_8_DIRECTIONAL: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.5.3.2: sqrt(s^2 + 3(t1^2 + t2^2)) <= fu/(beta_w gamma_M2) and s <= 0.9 fu/gamma_M2, (4.1)",
    seen: Seen::Recalled,
};

/// Simplified method: the resultant, whatever its direction.
pub const EN_1993_1_8_SIMPLIFIED: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.5.3.3: fu/(sqrt(3) beta_w gamma_M2), (4.3), (4.4)",
    seen: Seen::Recalled,
};

/// Correlation factors of fillet welds.
pub const EN_1993_1_8_CORRELATION: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "Table 4.1: beta_w 0.80 (S235), 0.85 (S275), 0.90 (S355), 1.00 (S420, S460)",
    seen: Seen::Recalled,
};

/// Full-penetration butt welds.
pub const EN_1993_1_8_FULL_PENETRATION: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.7.1: as the weaker part joined, with a suitable consumable",
    seen: Seen::Recalled,
};

/// Partial-penetration butt welds.
pub const EN_1993_1_8_PARTIAL_PENETRATION: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.7.2: as a deep-penetration fillet weld; throat no greater than the depth consistently achieved",
    seen: Seen::Recalled,
};

/// Long lap joints.
pub const EN_1993_1_8_LONG_LAP: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.11(3): beta_Lw.1 = 1.2 - 0.2 Lj/(150 a) <= 1 beyond 150 a",
    seen: Seen::Recalled,
};

/// Single-sided welds loaded off their line.
pub const EN_1993_1_8_ONE_SIDED: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.12: local eccentricity that puts the root in tension is avoided, or taken into account",
    seen: Seen::Recalled,
};

/// Partial factor of welds.
pub const EN_1993_1_8_GAMMA_M2: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "Table 2.1 and UK National Annex: gamma_M2 = 1.25",
    seen: Seen::QuotedBy(
        "ihsbb.steel-sci.com, explanatory notes, introduction to resistance tables",
    ),
};

/// Steels stronger than S460.
pub const EN_1993_1_12_HIGH_STRENGTH: Source = Source {
    title: "EN 1993-1-12:2007, Design of steel structures: additional rules for steel grades up to S700",
    place: "2.8 welds",
    seen: Seen::Recalled,
};

/// Nominal strengths for design by the Eurocode's own table.
pub const EN_1993_1_1_TABLE_3_1: Source = Source {
    title: "EN 1993-1-1:2005, Design of steel structures: general rules and rules for buildings",
    place: "Table 3.1 (with AC2:2009: S355 fu 490); thickness to 40 mm and to 80 mm",
    seen: Seen::QuotedBy(
        "stee116, a free table of design properties (scribd 470650995): EN 10025-2 and S420N; the other rows recalled",
    ),
};

/// Resistance of the plate itself.
pub const EN_1993_1_1_PLATE: Source = Source {
    title: "EN 1993-1-1:2005, Design of steel structures: general rules and rules for buildings",
    place: "6.2.1(5) von Mises on fy/gamma_M0, 6.2.3, 6.2.6; gamma_M0 = 1.0 (stainless steel: EN 1993-1-4)",
    seen: Seen::Recalled,
};

/// Repeated load, United States.
pub const AISC_360_FATIGUE: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "Appendix 3, Design for fatigue: root of partial-penetration and fillet welds",
    seen: Seen::Recalled,
};

/// Welds in stainless steel.
pub const EN_1993_1_4_WELDS: Source = Source {
    title: "EN 1993-1-4:2006+A1:2015, Design of steel structures: supplementary rules for stainless steels",
    place: "6.3: by EN 1993-1-8 with beta_w = 1.0; 5.1: gamma_M0 = 1.1, gamma_M2 = 1.25",
    seen: Seen::Recalled,
};

/// Nominal strengths of stainless steels.
pub const EN_1993_1_4_STRENGTH: Source = Source {
    title: "EN 1993-1-4:2006+A1:2015, Design of steel structures: supplementary rules for stainless steels",
    place: "Table 2.1, after EN 10088-4 and -5: 1.4301, 1.4307, 1.4404 by product form",
    seen: Seen::Recalled,
};

/// Strength of non-alloy structural steels.
pub const EN_10025_2: Source = Source {
    title: "EN 10025-2:2004, Hot rolled products of structural steels: non-alloy structural steels",
    place: "Table 7: ReH and Rm by thickness, S235, S275, S355",
    seen: Seen::QuotedBy("readle.co.uk, Steel grades to Eurocodes"),
};

/// Strength of normalised fine-grain steels.
pub const EN_10025_3: Source = Source {
    title: "EN 10025-3:2004, Hot rolled products of structural steels: normalized weldable fine grain steels",
    place: "Table 4: ReH and Rm by thickness, S420N, S460N",
    seen: Seen::Recalled,
};

/// Strength of thermomechanically rolled fine-grain steels.
pub const EN_10025_4: Source = Source {
    title: "EN 10025-4:2004, Hot rolled products of structural steels: thermomechanical rolled weldable fine grain steels",
    place: "Table 4: ReH and Rm by thickness, S420M, S460M",
    seen: Seen::Recalled,
};

/// Strength of American structural steels.
pub const ASTM_STRUCTURAL: Source = Source {
    title: "AISC Steel Construction Manual, 14th edition",
    place: "Table 2-4: A36 36/58 ksi; A572 Gr. 50 50/65 ksi; A992 50/65 ksi",
    seen: Seen::Recalled,
};

/// Strength of American fillers.
pub const AWS_A5_FILLER: Source = Source {
    title: "AWS A5.1 and A5.18, carbon steel electrodes and rods",
    place: "E70xx and ER70S-6: tensile strength 70 ksi, yield 58 ksi",
    seen: Seen::Recalled,
};

/// Strength of solid wires for non-alloy steels.
pub const ISO_14341: Source = Source {
    title: "ISO 14341:2010, Wire electrodes and weld deposits for gas shielded metal arc welding of non alloy and fine grain steels",
    place: "Table 1A: symbol 42: ReL 420, Rm 500 to 640 MPa",
    seen: Seen::Recalled,
};

/// Strength of stainless wires.
pub const ISO_14343: Source = Source {
    title: "ISO 14343:2017, Wire electrodes, strip electrodes, wires and rods for arc welding of stainless and heat resisting steels",
    place: "Annex A: 19 9 L Si and 19 12 3 L Si: Rp0.2 320, Rm 510 MPa",
    seen: Seen::Recalled,
};

/// Strength of fillet and groove welds, United States.
pub const AISC_360_WELD_STRENGTH: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "J2.4 and Table J2.5: fillet 0.60 FEXX, 0.75/2.00; partial penetration: tension 0.60 FEXX, 0.80/1.88, compression 0.90 FEXX, shear 0.60 FEXX, 0.75/2.00",
    seen: Seen::QuotedBy(
        "Structural Steel Designer's Handbook (Brockenbrough), page 5.44, digilib.universitaspertamina.ac.id",
    ),
};

/// Directional increase of fillet welds.
pub const AISC_360_DIRECTIONAL: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "J2.4, (J2-5): 1.0 + 0.50 sin^1.5 of the angle to the weld; not for welds to the ends of rectangular hollow sections",
    seen: Seen::QuotedBy(
        "McFadden, Sun and Packer, Weld design and fabrication for RHS connections, scribd 171256442",
    ),
};

/// Least leg of a fillet weld.
pub const AISC_360_LEAST_LEG: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "Table J2.4: thinner part to 1/4, 1/2, 3/4 in and over: leg 1/8, 3/16, 1/4, 5/16 in",
    seen: Seen::QuotedBy("123dok.com, Minimum size of fillet welds"),
};

/// Greatest leg along an edge.
pub const AISC_360_GREATEST_LEG: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "J2.2b: thickness below 1/4 in: the thickness; else the thickness less 1/16 in",
    seen: Seen::QuotedBy("scribd 380231435, a public lecture on weld design"),
};

/// Least throat of a partial-penetration groove weld.
pub const AISC_360_LEAST_GROOVE: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "Table J2.3: thinner part to 1/4, 1/2, 3/4, 1-1/2, 2-1/4, 6 in and over: 1/8, 3/16, 1/4, 5/16, 3/8, 1/2, 5/8 in",
    seen: Seen::QuotedBy(
        "Structural Steel Designer's Handbook (Brockenbrough), page 5.41, digilib.universitaspertamina.ac.id",
    ),
};

/// Least length and end-loaded length of a fillet weld.
pub const AISC_360_LENGTH: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "J2.2b: length >= 4 w, else w counts as length/4; end-loaded: beta = 1.2 - 0.002 l/w beyond 100 w, 180 w beyond 300 w (J2-1)",
    seen: Seen::QuotedBy("123dok.com, Minimum size of fillet welds (the least length recalled)"),
};

/// Parent metal at the fusion face and in the plate.
pub const AISC_360_PARENT: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "J4.1: 0.90 Fy, 0.75 Fu; J4.2: 1.00 x 0.60 Fy, 0.75 x 0.60 Fu; ASD 1.67, 2.00, 1.50, 2.00",
    seen: Seen::Recalled,
};

/// Load and deformation of one piece of fillet weld.
pub const AISC_360_ELEMENT_LAW: Source = Source {
    title: "AISC 360-10, Specification for Structural Steel Buildings",
    place: "J2.4(b): [p(1.9 - 0.9p)]^0.3; 0.209(t + 2)^-0.32 w; 1.087(t + 6)^-0.65 w <= 0.17 w",
    seen: Seen::Recalled,
};

/// Coefficients of eccentrically loaded weld groups.
pub const AISC_MANUAL_TABLE_8_8: Source = Source {
    title: "AISC Steel Construction Manual, 14th edition",
    place: "Table 8-8, C-shaped group, angle 0",
    seen: Seen::QuotedBy("paperzz.com/doc/8011394/final-exam, which prints part of the table"),
};

/// Longitudinal and transverse fillets together.
pub const AISC_360_CONCENTRIC_GROUP: Source = Source {
    title: "AISC 360, Specification for Structural Steel Buildings",
    place: "J2.4(c): the greater of Rwl + Rwt and 0.85 Rwl + 1.5 Rwt",
    seen: Seen::QuotedBy("paperzz.com/doc/8011394/final-exam (its row a = 0)"),
};

/// Allowable stresses of welds.
pub const AWS_D1_1_ALLOWABLE: Source = Source {
    title: "AWS D1.1:2010, Structural Welding Code: Steel",
    place: "Table 2.3 and 2.4: fillet and partial penetration 0.30 FEXX on the diagrammatic throat; parent metal 0.40 Fy shear, 0.60 Fy tension",
    seen: Seen::Recalled,
};

/// Fillet welds of skewed tee joints.
pub const AWS_D1_1_SKEWED: Source = Source {
    title: "AWS D1.1:2010, Structural Welding Code: Steel",
    place: "2.4.3 and Annex, Equivalent fillet weld leg size factors: 60 to 135 degrees; 30 to 60 with Z loss; below 30 nothing",
    seen: Seen::Recalled,
};

/// Gap under a fillet weld.
pub const AWS_D1_1_FIT_UP: Source = Source {
    title: "AWS D1.1:2010, Structural Welding Code: Steel",
    place: "5.22.1: gap above 1/16 in (2 mm): leg increased by it; none above 3/16 in (5 mm)",
    seen: Seen::Recalled,
};

/// One-sided welds of tee and corner joints.
pub const AWS_D1_1_ONE_SIDED: Source = Source {
    title: "AWS D1.1, Structural Welding Code: Steel",
    place: "design of tee and corner joints: a single fillet or partial-penetration weld is held against rotation about its axis; clause number not recalled",
    seen: Seen::Recalled,
};

/// Processes that are not prequalified.
pub const AWS_D1_1_QUALIFICATION: Source = Source {
    title: "AWS D1.1:2010, Structural Welding Code: Steel",
    place: "3.2 and 4.: other processes, laser among them, by qualification test and the Engineer's approval",
    seen: Seen::Recalled,
};

/// Weld groups as lines.
pub const BLODGETT_WELD_LINES: Source = Source {
    title: "Blodgett, Design of Welded Structures, 7.4 Table 5; Unsworth, Design of Modern Steel Railway Bridges, Table 9.1",
    place: "section modulus and polar moment of weld lines per unit throat",
    seen: Seen::QuotedBy("what-when-how.com, Design of Modern Steel Railway Bridges, page 381"),
};

/// Carbon equivalents of the Eurocode practice.
pub const IIW_CARBON_EQUIVALENT: Source = Source {
    title: "EN 1011-2:2001, Recommendations for welding of metallic materials: arc welding of ferritic steels",
    place: "C.2 CE(IIW); C.3 CET and preheat (C.8): CET 0.2 to 0.5, d 10 to 90, HD 1 to 20, Q 0.5 to 4",
    seen: Seen::Recalled,
};

/// Cracking parameter Pcm.
pub const ITO_BESSYO_1968: Source = Source {
    title: "Ito and Bessyo, Weldability formula of high strength steels, IIW Doc. IX-576-68 (1968)",
    place: "Pcm",
    seen: Seen::Recalled,
};

/// Carbon equivalent CEN.
pub const YURIOKA_CEN: Source = Source {
    title: "Yurioka et al., Determination of necessary preheating temperature in steel welding, Welding Journal 62 (1983) 147-s",
    place: "CEN with A(C) = 0.75 + 0.25 tanh(20(C - 0.12))",
    seen: Seen::Recalled,
};

/// What Seamproof itself refuses, code or no code.
pub const SEAMPROOF_ALUMINIUM: Source = Source {
    title: "Seamproof, design",
    place: "what may be claimed: aluminium, heat-affected strength governs, no throat-only claim (EN 1999-1-1)",
    seen: Seen::Read,
};

/// Which base metals AWS D1.1 covers.
pub const AWS_D1_1_SCOPE: Source = Source {
    title: "AWS D1.1:2010, Structural Welding Code: Steel",
    place: "1.2: not for base metal thinner than 1/8 in (3 mm), nor other than carbon or low-alloy steel",
    seen: Seen::Recalled,
};

/// Static strength is not fatigue strength.
pub const EN_1993_1_9_ROOT: Source = Source {
    title: "EN 1993-1-9:2005, Design of steel structures: fatigue",
    place: "Table 8.5: root failure of partial-penetration welds",
    seen: Seen::Recalled,
};

/// How welded joints share load.
pub const EN_1993_1_8_DISTRIBUTION: Source = Source {
    title: "EN 1993-1-8:2005, Design of steel structures: design of joints",
    place: "4.9: distribution of forces; welded joints have adequate deformation capacity",
    seen: Seen::Recalled,
};

/// The depth law of the keyhole tier, and the band around it.
pub const SEAMPROOF_KEYHOLE: Source = Source {
    title: "Seamproof, docs/accuracy.md",
    place: "keyhole energy balance: phi, cv, Ls, cA, n0, cz, cL, bh, chosen on the open tables named there; bands by regime",
    seen: Seen::Read,
};

/// Rules of thumb of the welding shop.
pub const COMMON_PRACTICE: Source = Source {
    title: "common practice, no source",
    place: "rules of thumb of the welding shop",
    seen: Seen::Recalled,
};

/// Heat conducted from a moving isothermal cylinder.
pub const MOVING_CYLINDER: Source = Source {
    title: "Lankalapalli, Tu and Gartner, A model for estimating penetration depth of laser welding processes, J. Phys. D 29 (1996) 1831",
    place: "isothermal cylinder in a uniform stream; here the exact Bessel series, not the published polynomial",
    seen: Seen::Recalled,
};

/// Absorption in a conical cavity.
pub const GOUFFE_1945: Source = Source {
    title: "Gouffe, Corrections d'ouverture des corps-noirs artificiels, Revue d'optique 24 (1945)",
    place: "total absorption of a cone by depth over opening",
    seen: Seen::Recalled,
};

/// Absorptivity of molten steel near 1 um.
pub const DAUSINGER_ABSORPTION: Source = Source {
    title: "Dausinger and Shen, Energy coupling efficiency in laser surface treatment, ISIJ International 33 (1993) 925",
    place: "normal incidence, molten steel near 1.06 um: 0.33 to 0.40",
    seen: Seen::Recalled,
};

/// A moving Gaussian heat source on a surface.
pub const EAGAR_TSAI_1983: Source = Source {
    title: "Eagar and Tsai, Temperature fields produced by traveling distributed heat sources, Welding Journal 62 (1983) 346-s",
    place: "Gaussian surface source on a half space",
    seen: Seen::Recalled,
};

/// Moving point and line sources.
pub const ROSENTHAL_1946: Source = Source {
    title: "Rosenthal, The theory of moving sources of heat and its application to metal treatments, Trans. ASME 68 (1946) 849",
    place: "thick plate (point source) and thin plate (line source)",
    seen: Seen::Recalled,
};

/// Conduction of heat, the textbook.
pub const CARSLAW_JAEGER: Source = Source {
    title: "Carslaw and Jaeger, Conduction of Heat in Solids, 2nd edition (1959)",
    place: "2.9 step flux, 10.3 instantaneous sources and images, 10.5 and 10.7 moving sources",
    seen: Seen::Recalled,
};

/// Width of the melt around a moving line source.
pub const WELLS_1952: Source = Source {
    title: "Wells, Heat flow in welding, Welding Journal 31 (1952) 263-s",
    place: "P = 8 k dT h (0.2 + v w / 4 alpha)",
    seen: Seen::Recalled,
};

/// Limits of melting by a moving line source.
pub const SWIFT_HOOK_GICK_1973: Source = Source {
    title: "Swift-Hook and Gick, Penetration welding with lasers, Welding Journal 52 (1973) 492-s",
    place: "isotherm width of a line source; greatest melting efficiency sqrt(2/(pi e)) = 0.484",
    seen: Seen::Recalled,
};

/// Peak temperature beside a weld.
pub const ADAMS_1958: Source = Source {
    title: "Adams, Cooling rates and peak temperatures in fusion welding, Welding Journal 37 (1958) 210-s; AWS Welding Handbook vol. 1",
    place: "1/(Tp - T0) = 4.13 rho c h Y / H + 1/(Tm - T0)",
    seen: Seen::Recalled,
};

/// Thermal properties of structural steel at high temperature.
pub const EN_1993_1_2_THERMAL: Source = Source {
    title: "EN 1993-1-2:2005, Design of steel structures: structural fire design",
    place: "3.4.1.2 specific heat, 3.4.1.3 thermal conductivity, carbon steel, 20 to 1200 deg C",
    seen: Seen::Recalled,
};

/// Thermal properties of alloys, solid and liquid.
pub const MILLS_2002: Source = Source {
    title: "Mills, Recommended Values of Thermophysical Properties for Selected Commercial Alloys (2002)",
    place: "316, alloy 718, Ti-6Al-4V, 6061, steels: conductivity, specific heat, heat of fusion, solidus, liquidus, rounded",
    seen: Seen::Recalled,
};

/// Boiling points and heats of metals.
pub const CRC_HANDBOOK: Source = Source {
    title: "CRC Handbook of Chemistry and Physics",
    place: "boiling points of iron, nickel, titanium, aluminium; heats of fusion",
    seen: Seen::Recalled,
};

/// Numbers of the welding processes.
pub const ISO_4063: Source = Source {
    title: "ISO 4063, Welding and allied processes: nomenclature of processes and reference numbers",
    place: "131 MIG, 135 MAG, 136 flux-cored MAG, 138 metal-cored MAG, 141 TIG, 52 laser beam (521 solid state, 522 gas)",
    seen: Seen::Recalled,
};

/// Thermal efficiency of arc processes.
pub const EN_1011_1_EFFICIENCY: Source = Source {
    title: "EN 1011-1:1998, Table 1 (ISO/TR 17671-1)",
    place: "thermal efficiency k: submerged arc 1.0, manual and MIG/MAG 0.8, TIG 0.6",
    seen: Seen::QuotedBy("a steel maker's page on welding heat input"),
};

/// Arc energy and heat input kept apart.
pub const ISO_TR_18491: Source = Source {
    title: "ISO/TR 18491:2015, Welding and allied processes: guidelines for measurement of welding energies",
    place: "arc energy U I / v; heat input k times that",
    seen: Seen::QuotedBy("the preview of the report, standards.iteh.ai"),
};

/// Heat input as American procedures state it: without efficiency.
pub const ASME_QW_409: Source = Source {
    title: "ASME BPVC Section IX, QW-409.1(a)",
    place: "heat input = 60 V A / travel, no thermal efficiency; AWS D1.1 likewise",
    seen: Seen::Recalled,
};

/// Penetration of an arc weld by current, voltage and travel.
pub const JACKSON_1960: Source = Source {
    title: "Jackson, The science of arc welding, Welding Journal 39 (1960) 129-s, 177-s, 225-s",
    place: "penetration = K (I^4 / (S E^2))^(1/3), inches, in/min; K 0.0010 to 0.0019 by process",
    seen: Seen::Recalled,
};

/// Size of an arc weld pool by its dimensionless power.
pub const CHRISTENSEN_1965: Source = Source {
    title: "Christensen, Davies and Gjermundsen, Distribution of temperatures in arc welding, British Welding Journal 12 (1965) 54",
    place: "point source on a thick plate: pool width and depth by operating parameter; measured areas scatter by about two",
    seen: Seen::Recalled,
};

/// Cooling time from 800 to 500 deg C.
pub const EN_1011_2_COOLING: Source = Source {
    title: "EN 1011-2:2001, Recommendations for welding of metallic materials: arc welding of ferritic steels",
    place: "Annex D: (D.5) thick, (D.6) thin plate, the greater governs; Table D.1 shape factors F2, F3",
    seen: Seen::Recalled,
};

/// Hardness of the heat-affected zone from analysis and cooling time.
pub const YURIOKA_1987: Source = Source {
    title: "Yurioka, Okumura, Kasuya and Cotton, Prediction of HAZ hardness of transformable steels, Metal Construction 19 (1987) 217R",
    place: "martensite and bainite hardness, critical times, arc tangent between; C to 0.8, Si 1.2, Mn 2, Cu 0.9, Ni 10, Cr 10, Mo 2 %",
    seen: Seen::Recalled,
};

/// Greatest hardness without a qualification by hardness.
pub const ISO_15614_HARDNESS: Source = Source {
    title: "ISO 15614-1, Table on permitted maximum hardness values (HV 10)",
    place: "steel groups 1 and 2, not heat treated: 380 HV 10; 15614-11 (beam welding): by agreement",
    seen: Seen::Recalled,
};

/// Transverse shrinkage of a butt weld.
pub const SPRARAGEN_1950: Source = Source {
    title: "Spraragen and Ettinger, Shrinkage distortion in welding, Welding Journal 29 (1950) 292-s",
    place: "butt: transverse shrinkage = 0.2 A / t + 0.05 root opening; arc welds",
    seen: Seen::Recalled,
};

/// Angular change and longitudinal shrinkage.
pub const BLODGETT_SHRINKAGE: Source = Source {
    title: "Blodgett, Design of Weldments, 7.7",
    place: "fillet: warpage = 0.02 W leg^1.3 / t^2 (inches); longitudinal shrinkage 0.025 A weld / A plates, A weld below a twentieth",
    seen: Seen::Recalled,
};

/// Depth of 316L tracks, open data.
pub const HOFMANN_316L: Source = Source {
    title: "Melt pool geometry of 316L single tracks, Zenodo 10.5281/zenodo.16979848, CC BY 4.0",
    place: "MeltpoolGeometryData.csv, rows without powder and without balling",
    seen: Seen::Read,
};

/// Depth of alloy 718 tracks, open data.
pub const AM_BENCH_2022: Source = Source {
    title: "Weaver et al., AM-Bench 2022 single tracks, Integrating Materials and Manufacturing Innovation (2024), 10.1007/s40192-024-00355-5",
    place: "Table 4: seven settings on bare plate",
    seen: Seen::QuotedBy("a public repository's transcription"),
};

/// Keyhole depths seen by x-rays, with the absorbed power.
pub const KEYHOLE_XRAY: Source = Source {
    title: "Keyhole depths from x-ray literature, dataset_keyhole.csv of PyDimension, MIT",
    place: "90 depths with absorbed power and each author's constants",
    seen: Seen::Read,
};

/// Melting range and heat of fusion of Ti-6Al-4V.
pub const BROOKS_TI64: Source = Source {
    title: "Brooks et al., High Temperatures-High Pressures 35/36 (2003-2007) 193",
    place: "Ti-6Al-4V: 1675 to 1689 deg C (calculated), 295 J/g",
    seen: Seen::QuotedBy("the publisher's abstract, oldcitypublishing.com"),
};

/// Usual joint preparations of arc welds.
pub const ISO_9692_1: Source = Source {
    title: "ISO 9692-1, Welding and allied processes: types of joint preparation, steels",
    place: "square butt to about 4 mm, single V 60 degrees to about 10 mm, double V beyond",
    seen: Seen::Recalled,
};
