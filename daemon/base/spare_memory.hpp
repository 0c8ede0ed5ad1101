// What large pieces of work leave behind.
#pragma once

namespace nestcup::daemon {

/// Gives memory that nobody uses any more back to the system. The C library keeps it else, for each
/// thread, so that a daemon of months is as large as its largest answers were together.
void give_back_memory();

}  // namespace nestcup::daemon
