#include "core/report/words/inline_text.hpp"

#include <functional>

namespace nestcup {

namespace {

std::string html_escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string markdown_escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (std::string_view("\\`*_{}[]<>#|~").find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

/// How one kind of page writes plain pieces, and what goes around raised and lowered ones.
struct Manner {
  std::function<std::string(std::string_view)> plain;
  std::string_view before_low, after_low, before_high, after_high;
};

std::string written(std::string_view text, const Manner& manner) {
  std::string out;
  while (!text.empty()) {
    const std::size_t open = text.find('{');
    const bool is_mark = open != std::string_view::npos && open > 0 &&
                         (text[open - 1] == '_' || text[open - 1] == '^');
    const std::size_t close = is_mark ? text.find('}', open) : std::string_view::npos;
    if (close == std::string_view::npos) {
      const std::size_t end = open == std::string_view::npos ? text.size() : open + 1;
      out += manner.plain(text.substr(0, end));
      text.remove_prefix(end);
      continue;
    }
    const bool is_low = text[open - 1] == '_';
    out += manner.plain(text.substr(0, open - 1));
    out += is_low ? manner.before_low : manner.before_high;
    out += manner.plain(text.substr(open + 1, close - open - 1));
    out += is_low ? manner.after_low : manner.after_high;
    text.remove_prefix(close + 1);
  }
  return out;
}

std::string as_it_is(std::string_view text) {
  return std::string(text);
}

}  // namespace

std::string html_text(std::string_view text) {
  return written(text, {html_escaped, "<sub>", "</sub>", "<sup>", "</sup>"});
}

std::string html_attribute(std::string_view text) {
  return written(text, {html_escaped, "_", "", "", ""});
}

std::string markdown_text(std::string_view text) {
  return written(text, {markdown_escaped, "<sub>", "</sub>", "<sup>", "</sup>"});
}

std::string plain_text(std::string_view text) {
  return written(text, {as_it_is, "_", "", "^", ""});
}

}  // namespace nestcup
