//! Many solves: what a booster can reach, what a moved problem changes, how an answer moves with a number.
//!
//! In: problems. Out: their answers side by side, as data. Refuses to word them.

pub mod clock;

pub mod solved;

pub mod apart;

pub mod top_up;

pub mod reach;

pub mod change;

pub mod align;

pub mod differences;

pub mod needed;

pub mod compare;

pub mod sweep;

pub mod held;

pub mod wish;

pub mod stand;

pub mod whole;

pub mod lean;

pub mod guard;

pub mod floor;

pub mod walk;

pub mod swap;

pub mod seek;

pub mod round;

pub mod worth;

pub mod sure;

pub mod confidence;

pub mod frontier;

pub mod sensitivity;
