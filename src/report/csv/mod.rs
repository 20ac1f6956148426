//! Answers of many rows as comma-separated values (RFC 4180), for a spreadsheet: a head, then a line a
//! row, numbers to nine digits.

pub mod row;

pub mod frontier;

pub mod sensitivity;
