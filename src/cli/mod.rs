//! The command line: one file a verb.
//!
//! In: arguments. Out: an answer on standard output, all else on standard error, an exit code.
//! Refuses to word an answer.

pub mod exit;

pub mod refusal;

pub mod output;

pub mod input;

pub mod progress;

pub mod destination;

pub mod picture;

pub mod interrupt;

pub mod fingerprint;

pub mod part_file;

pub mod batch;

pub mod arguments;

pub mod contributions;

pub mod confidence;

pub mod solve;

pub mod predict;

pub mod reach;

pub mod compare;

pub mod conflict;

pub mod frontier;

pub mod sensitivity;

pub mod sweep;

pub mod crash;

pub mod run;
