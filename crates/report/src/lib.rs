//! Papers and figures, as a function of the values given: same values, same bytes.
//!
//! | ask for | look in |
//! |---|---|
//! | anything drawn: a section with its dimensions, a photo's overlay, a joint, a strip plot | [`figure`] |
//! | the customer report as a PDF | [`paper::customer`] |
//! | tables as a spreadsheet file | [`sheet`] |
//! | the plan of a controlled area as a PDF | [`paper::area`] |
//!
//! Nothing here knows the time, a file, the network or the fonts of the machine: two faces, regular and bold, are
//! built in, and figures, papers and pictures are all set in them. Every figure that is printed comes from a value that
//! was given, rounded by [`weld::quantity::show`].

mod faces;
pub mod figure;
pub mod paper;
pub mod sheet;
