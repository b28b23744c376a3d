//! The program as it is used: arguments, files and streams in, files, streams and exit status out.

mod check;
mod desk;
mod fill;
mod lists;
mod mark;
mod page;
mod reading;
mod seal;
mod streams;
mod tables;
mod tidy;
