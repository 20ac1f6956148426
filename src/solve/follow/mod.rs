//! Following a best recipe while one number of the problem moves: what holds it, what each hold is
//! worth, and where that changes.
//!
//! In: a task at each value of the number, and a best point at the first. Out: the points between, and
//! the value at which another set of limits or components takes over. Refuses to know what the number is.

pub mod hold;

pub mod local;

pub mod stand;

pub mod path;
