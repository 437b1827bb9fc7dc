//! Tests over the public interface of the library, without a command line and without a window.

mod bad_input;
