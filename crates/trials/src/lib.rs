//! What a handful of coupons can show: bounds, and how many more would help.
//!
//! A statistic does not know where a throat came from: values come in as rows, never as photographs.
//!
//! | ask for | look in |
//! |---|---|
//! | the throat that sections allow us to claim | [`tolerance`] |
//! | the exact factor k | [`tolerance::factor`] |
//! | sections from several coupons | [`tolerance::random_effects`] |
//! | how many more sections or coupons | [`tolerance::more`] |

pub mod tolerance;
