//! The answer as JSON, for a program.
//!
//! In: a problem and its answer. Out: one object whose `schema` number names its shape; keys keep
//! their order, and a key whose content does not exist is `null`. Refuses to round.

pub mod contributions;

pub mod why;

pub mod confidence;

pub mod shape;

pub mod part;

pub mod answer;

pub mod solved;

pub mod reach;

pub mod compare;

pub mod conflict;

pub mod sweep;

pub mod frontier;

pub mod sensitivity;
