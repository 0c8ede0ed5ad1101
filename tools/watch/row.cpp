#include "tools/watch/row.hpp"

#include <algorithm>

#include "tools/cli/text_layout.hpp"

namespace nestcup::watch {
namespace {

/// The first `columns` characters.
std::string cut(const std::string& text, std::size_t columns) {
  std::size_t width = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool begins = (static_cast<unsigned char>(text[i]) & 0xC0U) != 0x80U;
    if (begins && width++ == columns) return text.substr(0, i);
  }
  return text;
}

}  // namespace

Piece padded(const std::string& text, int columns, cli::Tone tone) {
  const auto wanted = static_cast<std::size_t>(std::max(columns, 0));
  std::string fitting = cut(text, wanted);
  fitting += std::string(wanted - cli::display_width(fitting), ' ');
  return {std::move(fitting), tone};
}

std::string fitted(const Row& row, int columns, bool colour) {
  std::string line;
  auto left = static_cast<std::size_t>(std::max(columns, 0));
  for (const Piece& piece : row) {
    const std::string text = cut(piece.text, left);
    left -= cli::display_width(text);
    if (!text.empty()) line += cli::toned(text, piece.tone, colour);
  }
  return line;
}

std::vector<std::string> lines_of(const std::string& text, int columns) {
  const auto width = static_cast<std::size_t>(std::max(columns, 1));
  const std::string wrapped = cli::wrapped(text, 0, width);
  std::vector<std::string> lines;
  for (std::size_t begin = 0; begin < wrapped.size();) {
    const std::size_t end = wrapped.find('\n', begin);
    lines.push_back(cut(wrapped.substr(begin, end - begin), width));
    begin = end + 1;
  }
  return lines;
}

}  // namespace nestcup::watch
