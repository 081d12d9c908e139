//! Integration tests of the room `photo`, one binary.

mod decode;
