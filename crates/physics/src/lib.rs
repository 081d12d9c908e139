//! What a load needs and what a setting makes.
//!
//! Nothing here is fitted to a study except through arguments; no files, no clock, no randomness.
//!
//! | ask for | look in |
//! |---|---|
//! | the throat a load needs, what the code refuses however deep the fusion | [`strength`] |
//! | a weld group loaded off its centre | [`strength::group`], [`strength::centre`] |
//! | wire in, metal out, the cap it stands up to | [`deposit`] |
//! | carbon equivalents, preheat | [`hardening`] |
//! | the beam, its focus and its swing | [`beam`], [`wobble`] |
//! | heat in a metal, from room temperature to boiling | [`metal`] |
//! | depth of a keyhole | [`keyhole`], its loss in [`cylinder`] |
//! | what a beam melts, quick and keyhole tier | [`melt`], conduction in [`conduction`] |
//! | how far a prediction may be off | [`band`] |
//! | the section that a setting makes | [`predict`], drawn by [`fused`], from a [`setting`] |
//! | which setting to try first | [`search`] |
//! | which coupons tell most about a gun | [`telling`] |
//! | arc welds of the same joint | [`arc`] |
//! | cooling time, hardness, heat-affected zone, shrinkage | [`heat`] |
//! | laws of every process | [`conformance`] |

pub mod arc;
pub mod band;
pub mod beam;
pub mod conduction;
pub mod conformance;
pub mod cylinder;
pub mod deposit;
pub mod fused;
pub mod hardening;
pub mod heat;
pub mod keyhole;
pub mod melt;
pub mod metal;
pub mod predict;
pub mod search;
pub mod setting;
pub mod special;
pub mod strength;
pub mod telling;
pub mod wobble;
