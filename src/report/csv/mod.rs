//! Answers of many rows as comma-separated values (RFC 4180), for a spreadsheet: a head, then a line a
//! row, numbers unrounded.

pub mod row;

pub mod frontier;

pub mod sensitivity;
