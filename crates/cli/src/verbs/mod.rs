//! A file for each verb.

pub(crate) mod audit;
pub(crate) mod book;
pub(crate) mod catalogue;
pub(crate) mod check;
pub(crate) mod collate;
pub(crate) mod explain;
pub(crate) mod find;
pub(crate) mod grid;
pub(crate) mod heard;
pub(crate) mod imitate;
pub(crate) mod itself;
pub(crate) mod join;
mod leaves;
pub(crate) mod mend;
pub(crate) mod new;
pub(crate) mod pictures;
pub(crate) mod proof;
pub(crate) mod read;
mod ready;
pub(crate) mod report;
pub(crate) mod score;
pub(crate) mod sheet;
pub(crate) mod show;
pub(crate) mod study;
pub(crate) mod tidy;
mod timing;
mod why;
