//! The names of everything that can be read from a section.
//!
//! One list, used by the geometry that computes the readings, by the Monte Carlo that finds their uncertainty and
//! by every door that prints them. Definitions stand at the function that computes each.

use std::fmt;

/// The dimension of a reading: how it grows when the scale does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// Millimetres; grows with the scale.
    Length,
    /// Square millimetres; grows with its square.
    Area,
    /// A ratio; the scale cancels.
    Ratio,
    /// Degrees; the scale cancels.
    Angle,
}

impl Dimension {
    /// The power of the scale in it: 1, 2 or 0.
    #[must_use]
    pub const fn power_of_scale(self) -> i32 {
        match self {
            Self::Length => 1,
            Self::Area => 2,
            Self::Ratio | Self::Angle => 0,
        }
    }
}

macro_rules! readings {
    ($($(#[$doc:meta])* $name:ident, $field:literal, $words:literal, $dim:ident;)+) => {
        /// Something that can be read from a section.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(usize)]
        pub enum Reading { $($(#[$doc])* $name,)+ }

        impl Reading {
            /// All of them, in the order they are printed.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];
            /// How many there are.
            pub const COUNT: usize = Self::ALL.len();
            /// The field name with its unit, as in files and `--json`.
            #[must_use]
            pub const fn field(self) -> &'static str { match self { $(Self::$name => $field,)+ } }
            /// The trade's words for it.
            #[must_use]
            pub const fn words(self) -> &'static str { match self { $(Self::$name => $words,)+ } }
            /// Its dimension.
            #[must_use]
            pub const fn dimension(self) -> Dimension { match self { $(Self::$name => Dimension::$dim,)+ } }
            /// Finds a reading by its field name.
            #[must_use]
            pub fn from_field(field: &str) -> Option<Self> { Self::ALL.iter().copied().find(|r| r.field() == field) }
        }
    };
}

readings! {
    /// Bead: greatest depth below the surface. Butt: fused along the joint line without a break from that side.
    Penetration, "penetration_mm", "penetration", Length;
    /// Greatest depth of the fused zone below the surface, wherever it is.
    Depth, "depth_mm", "greatest depth", Length;
    /// Greatest width of the fused zone, along the surface.
    Width, "width_mm", "greatest width", Length;
    /// Width from toe to toe at the original surface.
    WidthSurface, "width_surface_mm", "width at the surface", Length;
    /// Width at half the greatest depth.
    WidthHalf, "width_half_depth_mm", "width at half depth", Length;
    /// Width at nine tenths of the greatest depth.
    WidthDeep, "width_90_depth_mm", "width at 90 % depth", Length;
    /// Excess weld metal (bead height) above the surface.
    Height, "height_mm", "height above the surface", Length;
    /// Underfill: how far the face lies below the surface between the toes.
    Underfill, "underfill_mm", "underfill", Length;
    /// Root excess: how far the zone stands out of the far surface.
    RootExcess, "root_excess_mm", "root excess", Length;
    /// Sideways aim: axis of the zone against the joint line, along the surface; positive to +x.
    AimOffset, "aim_offset_mm", "sideways aim", Length;
    /// Area of the fused zone.
    FusedArea, "fused_area_mm2", "fused area", Area;
    /// Part of the fused zone inside the original plates.
    MeltedParentArea, "melted_parent_area_mm2", "melted parent area", Area;
    /// Fused area less melted parent: what was added, the gap included.
    DepositedArea, "deposited_area_mm2", "deposited area", Area;
    /// Original parent that is now air.
    LostArea, "lost_area_mm2", "parent metal lost", Area;
    /// Melted parent over fused area.
    Dilution, "dilution", "dilution", Ratio;
    /// Fused area below the surface over (greatest width there x greatest depth).
    Squareness, "squareness", "squareness", Ratio;
    /// From the corner to the base toe, along the base.
    LegBase, "leg_base_mm", "leg on the base", Length;
    /// From the corner to the upright toe, along the upright.
    LegUpright, "leg_upright_mm", "leg on the upright", Length;
    /// Upright leg counted from the upright's real edge (net of the gap).
    NetLegUpright, "net_leg_upright_mm", "leg on the upright, net of the gap", Length;
    /// Leg on the base of the greatest triangle in the weld metal.
    SizeBase, "size_base_mm", "size on the base", Length;
    /// Leg on the upright of the greatest triangle in the weld metal.
    SizeUpright, "size_upright_mm", "size on the upright", Length;
    /// Height of the greatest triangle in the weld metal, no credit for depth.
    TheoreticalThroat, "theoretical_throat_mm", "theoretical throat", Length;
    /// Height of the greatest isosceles triangle in the weld metal.
    IsoscelesThroat, "isosceles_throat_mm", "isosceles throat", Length;
    /// Shortest way from the corner to the face as it is.
    CornerThroat, "corner_throat_mm", "throat from the corner", Length;
    /// Shortest way from the weld root to the face as it is.
    ActualThroat, "actual_throat_mm", "actual throat", Length;
    /// Shortest way from the weld root to the free surface, convexity not counted.
    EffectiveThroat, "effective_throat_mm", "effective throat", Length;
    /// Theoretical throat with penetration: perpendicular from the root to the triangle's outer side.
    PenetratedThroat, "penetrated_throat_mm", "throat with penetration", Length;
    /// From the corner to the weld root along the joint line.
    RootPenetration, "root_penetration_mm", "root penetration", Length;
    /// Unfused stretch of the base from the corner.
    UnfusedCornerBase, "unfused_corner_base_mm", "unfused corner on the base", Length;
    /// Unfused stretch of the upright from the corner.
    UnfusedCornerUpright, "unfused_corner_upright_mm", "unfused corner on the upright", Length;
    /// Greatest depth of fusion below the base's surface.
    FusionDepthBase, "fusion_depth_base_mm", "greatest depth of fusion in the base", Length;
    /// Depth of fusion in the upright at mid-leg.
    FusionDepthUpright, "fusion_depth_upright_mm", "depth of fusion in the upright, at mid-leg", Length;
    /// Leg and penetration on the base together.
    FusedLengthBase, "fused_length_base_mm", "fused length on the base (leg and root)", Length;
    /// Leg and depth on the upright together.
    FusedLengthUpright, "fused_length_upright_mm", "fused length on the upright (leg and mid-leg depth)", Length;
    /// How far the face stands out of the toe-to-toe line; negative when hollow.
    Convexity, "convexity_mm", "convexity", Length;
    /// Angle of the face to the base at the toe, in the air.
    ToeAngleBase, "toe_angle_base_deg", "toe angle on the base", Angle;
    /// Angle of the face to the upright at the toe, in the air.
    ToeAngleUpright, "toe_angle_upright_deg", "toe angle on the upright", Angle;
    /// Depth of the groove beside the base toe.
    UndercutBase, "undercut_base_mm", "undercut at the base", Length;
    /// Depth of the groove beside the upright toe.
    UndercutUpright, "undercut_upright_mm", "undercut at the upright", Length;
    /// The deeper of the grooves.
    Undercut, "undercut_mm", "undercut", Length;
    /// Weld metal lying unfused beyond a toe, the longer of the two.
    OverlapToe, "overlap_toe_mm", "overlap beyond the toe", Length;
    /// Depth of the zone over its width.
    DepthToWidth, "depth_to_width", "depth to width", Ratio;
    /// Pores' share of the fused cross-section.
    PoreAreaShare, "pore_area_share", "pore share of the section", Ratio;
    /// Greatest extent of the largest pore.
    LargestPore, "largest_pore_mm", "largest pore", Length;
    /// Length of all cracks.
    CrackLength, "crack_length_mm", "length of cracks", Length;
    /// Length of all lack-of-fusion lines.
    LackOfFusionLength, "lack_of_fusion_length_mm", "length of lack of fusion", Length;
}

/// Why a reading is not there. Never printed as zero.
#[derive(Clone, Debug, PartialEq)]
pub struct Absent {
    /// The fact, as a sentence without a full stop.
    pub reason: String,
}

impl Absent {
    /// Makes one from its reason.
    pub fn because(reason: impl Into<String>) -> Self {
        Self { reason: reason.into() }
    }
}

impl fmt::Display for Absent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.reason)
    }
}

/// What one weld of a section shows: each reading present, absent with a reason, or not of this kind of joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    slots: Vec<Option<Result<f64, Absent>>>,
}

impl Default for Readings {
    fn default() -> Self {
        Self { slots: vec![None; Reading::COUNT] }
    }
}

impl Readings {
    /// Enters a value in the unit of the reading's field name.
    pub fn set(&mut self, reading: Reading, value: f64) {
        self.slots[reading as usize] = Some(Ok(value));
    }

    /// Enters that it is not to be seen, and why.
    pub fn absent(&mut self, reading: Reading, reason: impl Into<String>) {
        self.slots[reading as usize] = Some(Err(Absent::because(reason)));
    }

    /// The value, where there is one.
    #[must_use]
    pub fn get(&self, reading: Reading) -> Option<f64> {
        self.slots[reading as usize].as_ref().and_then(|slot| slot.as_ref().ok().copied())
    }

    /// The value or the reason; `None` when this kind of joint has no such reading.
    #[must_use]
    pub fn slot(&self, reading: Reading) -> Option<&Result<f64, Absent>> {
        self.slots[reading as usize].as_ref()
    }

    /// Every reading that this kind of joint has, in printing order.
    pub fn iter(&self) -> impl Iterator<Item = (Reading, &Result<f64, Absent>)> {
        Reading::ALL.iter().filter_map(|&r| Some((r, self.slots[r as usize].as_ref()?)))
    }
}

/// An answer that may not be had from this section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// It holds.
    Yes,
    /// It does not hold.
    No,
    /// Within the uncertainty it could be either.
    CannotSay,
}

impl Answer {
    /// The word that is printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::CannotSay => "cannot say",
        }
    }
}
