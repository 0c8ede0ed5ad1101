// Where a command reads and writes: handed in, so that tests see everything.
#pragma once

#include <iosfwd>
#include <string>

namespace nestcup::cli {

/// Results go to `out`, everything else to `err`.
struct Streams {
  std::string program;  ///< stands before every message
  std::istream& in;
  std::ostream& out;
  std::ostream& err;
  bool colour = false;  ///< whether `out` takes colour
};

}  // namespace nestcup::cli
