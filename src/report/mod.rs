//! Words, tables, files: the only code that writes answers.
//!
//! In: a problem and what was found or judged. Out: text for a person, JSON for a program, a recipe
//! file for the next run. Refuses to predict or to search.

pub mod draft;

pub mod number;

pub mod parts;

pub mod used;

pub mod warnings;

pub mod words;

pub mod bound;

pub mod beside;

pub mod step;

pub mod turns;

pub mod unknown;

pub mod rules;

pub mod keys;

pub mod dials;

pub mod table;

pub mod text;

pub mod json;

pub mod csv;

pub mod lines;

pub mod picture;

pub mod drawn;

pub mod recipe_file;

pub mod faults;
