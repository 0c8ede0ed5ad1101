#include "tools/cli/text_layout.hpp"

namespace nestcup::cli {

std::size_t display_width(std::string_view text) {
  std::size_t width = 0;
  for (const char c : text) {
    // Following bytes of a UTF-8 character are 10xxxxxx.
    if ((static_cast<unsigned char>(c) & 0xC0) != 0x80) ++width;
  }
  return width;
}

std::string wrapped(std::string_view text, std::size_t indent, std::size_t width) {
  std::string lines;
  std::string line;
  const auto end_line = [&] {
    if (!line.empty()) lines += std::string(indent, ' ') + line + '\n';
    line.clear();
  };
  while (!text.empty()) {
    const std::size_t blank = text.find(' ');
    const std::string_view word = text.substr(0, blank);
    const bool fits = indent + display_width(line) + 1 + display_width(word) <= width;
    if (!line.empty() && !word.empty() && !fits) end_line();
    if (!line.empty() && !word.empty()) line += ' ';
    line += word;
    text.remove_prefix(blank == std::string_view::npos ? text.size() : blank + 1);
  }
  end_line();
  return lines;
}

std::string hanging(std::string_view term, std::string_view text, std::size_t indent,
                    std::size_t width) {
  const std::string body = wrapped(text, indent, width);
  if (display_width(term) + 2 > indent || body.size() <= indent) {
    return std::string(term) + '\n' + body;
  }
  return std::string(term) + std::string(indent - display_width(term), ' ') + body.substr(indent);
}

}  // namespace nestcup::cli
