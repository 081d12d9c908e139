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

pub mod deposit;
pub mod hardening;
pub mod strength;
