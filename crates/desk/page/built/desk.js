// Built from ../src.
