#include "tools/cli/output.hpp"

#include <algorithm>
#include <cassert>
#include <ostream>

#include "core/base/exit_code.hpp"
#include "tools/cli/text_layout.hpp"

namespace nestcup::cli {

int report_error(Streams& streams, const Error& error) {
  streams.err << streams.program << ": " << error.text << '\n';
  return exit_code(error.kind);
}

bool takes_colour(bool is_terminal, const char* no_color, const char* term) {
  return is_terminal && no_color == nullptr && term != nullptr && std::string_view(term) != "dumb";
}

std::string toned(std::string_view text, Tone tone, bool colour) {
  if (!colour || tone == Tone::plain) return std::string(text);
  const auto code = [tone] {
    switch (tone) {
      case Tone::heading:
        return "\033[1m";
      case Tone::good:
        return "\033[32m";
      case Tone::warning:
        return "\033[33m";
      case Tone::bad:
        return "\033[31m";
      case Tone::plain:
        break;
    }
    return "";
  };
  return code() + std::string(text) + "\033[0m";
}

Table::Table(std::vector<Column> columns) : columns_(std::move(columns)) {
  for (const Column& column : columns_) widths_.push_back(display_width(column.heading));
}

void Table::add_row(std::vector<std::string> cells) {
  assert(cells.size() == columns_.size());
  for (std::size_t i = 0; i < cells.size(); ++i) {
    widths_[i] = std::max(widths_[i], display_width(cells[i]));
  }
  rows_.push_back(std::move(cells));
}

std::string Table::line(const std::vector<std::string>& cells) const {
  std::string text;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const std::string fill(widths_[i] - display_width(cells[i]), ' ');
    if (i > 0) text += "  ";
    text += columns_[i].align == Align::right ? fill + cells[i] : cells[i] + fill;
  }
  text.erase(text.find_last_not_of(' ') + 1);
  return text;
}

std::string Table::text(bool colour) const {
  std::vector<std::string> headings;
  for (const Column& column : columns_) headings.push_back(column.heading);
  std::string all = toned(line(headings), Tone::heading, colour) + '\n';
  for (const auto& row : rows_) all += line(row) + '\n';
  return all;
}

}  // namespace nestcup::cli
