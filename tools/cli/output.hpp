// What commands print: messages, tables, colour.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "tools/cli/streams.hpp"

namespace nestcup::cli {

/// Prints "nestcup: text" on the error stream.
/// @return the error's exit code
int report_error(Streams& streams, const Error& error);

/// Whether an output takes colour: it is a terminal that is not "dumb", and NO_COLOR is not set.
/// @param no_color  the variable's value, or nullptr; an empty value counts as set
/// @param term      the value of TERM, or nullptr
[[nodiscard]] bool takes_colour(bool is_terminal, const char* no_color, const char* term);

/// What a colour says; the words beside it must say the same.
enum class Tone { plain, heading, good, warning, bad };

/// `text` in a tone, or as it is where there is no colour.
[[nodiscard]] std::string toned(std::string_view text, Tone tone, bool colour);

enum class Align { left, right };

struct Column {
  std::string heading;
  Align align = Align::left;
};

/// A plain table: columns two blanks apart, as wide as their widest cell, numbers to the right.
class Table {
 public:
  explicit Table(std::vector<Column> columns);

  /// One cell a column, UTF-8, without line ends and tones.
  void add_row(std::vector<std::string> cells);

  /// Heading and rows, each line ended, no blanks at line ends.
  [[nodiscard]] std::string text(bool colour) const;

 private:
  [[nodiscard]] std::string line(const std::vector<std::string>& cells) const;

  std::vector<Column> columns_;
  std::vector<std::size_t> widths_;
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace nestcup::cli
