//! The questions of `imitate --ask`: subjects from easy to hard, and what is to be found.
