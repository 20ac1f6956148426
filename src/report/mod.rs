//! Words, tables, pictures and files: the only code that writes answers.
//!
//! In: data of the stages before. Out: text. Refuses to compute anything it prints.

pub mod faults;
