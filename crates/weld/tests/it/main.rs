//! Sections worked by hand, refusals, and laws.

mod butts;
mod fillets;
mod laws;
mod shapes;
