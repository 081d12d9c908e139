//! One function per step of the job.
//!
//! This is the hall: rooms meet here and nowhere else, and the doors (command line, bench) open only into it.
//! No formula lives here. Forms come in, nouns go to the rooms, and what they answer goes out as forms again.
//!
//! | step | in | out |
//! |---|---|---|
//! | [`units`] | a text such as `18 ipm` | the same in every usual unit |
//! | [`read`] | a reading file and its photo | what the section shows, with its uncertainty |
//! | [`start`] | a joint file | the throat that its load needs, what the code refuses, settings worth trying first |
//! | [`predict`] | a joint and a setting file | the section to expect, with its band |
//! | [`compare`] | a joint and several setting files | throat, heat, time and cost beside each other |
//! | [`demo`] | a seed | the whole job on drawn photos of an invented works |
//! | [`claim`] | a table of readings, or a claim file | how much throat may be claimed |
//! | [`area`] | a setup file | who may stand where, behind what, wearing what |
//! | [`mod@write`] | a claim file | the report to the customer |
//! | [`study`] | a study file | the same steps on what is kept in it, with its history |
//!
//! What cannot be done comes back as a [`refusal::Refusal`]: the fact with its place, then the next action.

pub mod area;
pub mod claim;
pub mod clock;
pub mod compare;
mod cores;
pub mod demo;
pub mod files;
pub mod overlay;
pub mod predict;
pub mod progress;
pub mod propose;
pub mod read;
pub mod refusal;
mod shelf;
pub mod sight;
pub mod start;
pub mod study;
pub mod table;
pub mod units;
pub mod wire;
pub mod write;
