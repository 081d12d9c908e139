//! The trade's nouns and the geometry they obey.
//!
//! Everything here is a value: no files, no clock, no randomness, no images, no wire format.
//! A drawn section, a photographed section and a predicted section are the *same* type, [`section::Section`],
//! so each reading is computed in exactly one place: the effective throat in [`section::throat`].
//!
//! | ask for | look in |
//! |---|---|
//! | lengths, speeds, powers and their shop notation | [`quantity`] |
//! | a value with its standard uncertainty | [`measured`] |
//! | where a number was published | [`source`], [`sourced`](source::Sourced) |
//! | the plates, the fused outlines, the frame | [`section`] |
//! | the names of what can be read from a section | [`reading`] |
//! | what a claim is | [`claim`] |
//! | strengths of steels and fillers | [`materials`] |

pub mod claim;
pub mod materials;
pub mod measured;
pub mod quantity;
pub mod reading;
pub mod section;
pub mod source;
