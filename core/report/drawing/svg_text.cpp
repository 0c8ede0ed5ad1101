#include "core/report/drawing/svg_text.hpp"

#include <fmt/format.h>

#include <cstddef>

#include "core/base/digest.hpp"

namespace nestcup {

namespace {

std::string escaped(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      default:
        // XML has no control characters but blanks.
        safe += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    }
  }
  return safe;
}

/// `svg` without the number in id="surface12" and the like.
std::string without_counts(std::string_view svg) {
  constexpr std::string_view counted = "id=\"surface";
  std::string text;
  for (std::size_t at = 0; at < svg.size();) {
    const std::size_t found = svg.find(counted, at);
    if (found == std::string_view::npos) {
      text += svg.substr(at);
      break;
    }
    const std::size_t number = found + counted.size();
    text += svg.substr(at, number - at);
    at = svg.find('"', number);
    if (at == std::string_view::npos) break;
  }
  return text;
}

/// `text` with `insert` behind every `mark`.
std::string with_inserted(std::string_view text, std::string_view mark, std::string_view insert) {
  std::string made;
  for (std::size_t at = 0;;) {
    const std::size_t found = text.find(mark, at);
    if (found == std::string_view::npos) return made += text.substr(at);
    made += text.substr(at, found + mark.size() - at);
    made += insert;
    at = found + mark.size();
  }
}

/// Ids, and what points to them, begin with `prefix`.
std::string with_prefixed_ids(std::string text, std::string_view prefix) {
  for (const std::string_view mark : {" id=\"", "href=\"#", "url(#"}) {
    text = with_inserted(text, mark, prefix);
  }
  return text;
}

}  // namespace

std::string finished_svg(std::string_view svg, const SvgWords& words) {
  const std::string_view root = "<svg";
  std::string text = without_counts(svg);
  const std::size_t start = text.find(root);
  if (start == std::string::npos) return text;
  const std::string prefix = "c" + sha256_hex(text).substr(0, 12) + "-";
  text = with_prefixed_ids(std::move(text), prefix);
  const std::string attributes = fmt::format(
      " role=\"img\" lang=\"{1}\" xml:lang=\"{1}\" aria-labelledby=\"{0}title {0}desc\"", prefix,
      words.language);
  text.insert(start + root.size(), attributes);
  const std::size_t end = text.find('>', start);
  if (end == std::string::npos) return text;
  text.insert(end + 1, fmt::format("\n<title id=\"{0}title\">{1}</title>\n<desc id=\"{0}desc\">{2}"
                                   "</desc>",
                                   prefix, escaped(words.title), escaped(words.description)));
  return text;
}

std::string_view svg_element(std::string_view document) {
  const std::size_t root = document.find("<svg");
  return root == std::string_view::npos ? document : document.substr(root);
}

}  // namespace nestcup
