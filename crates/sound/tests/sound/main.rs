//! What is rendered, measured: frequencies, edges, files.

mod edges;
mod files;
mod frequencies;
mod music;
mod spectrum;
mod speed;
