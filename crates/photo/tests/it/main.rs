//! Integration tests of the room `photo`, one binary.

mod astray;
mod coverage;
mod decode;
mod drawn;
mod nested;
mod plates;
mod propose;
mod seen;
mod surface;
mod trace_drawn;
mod trace_laws;
mod trace_photographs;
