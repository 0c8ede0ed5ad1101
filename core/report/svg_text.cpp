#include "core/report/svg_text.hpp"

#include <cstddef>

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
        safe += c;
    }
  }
  return safe;
}

/// Where the tag that starts at `at` ends, just behind its '>'.
std::size_t behind_tag(std::string_view svg, std::size_t at) {
  const std::size_t end = svg.find('>', at);
  return end == std::string_view::npos ? svg.size() : end + 1;
}

}  // namespace

std::string finished_svg(std::string_view svg, std::string_view title) {
  const std::size_t root = svg.find("<svg");
  if (root == std::string_view::npos) return std::string(svg);
  const std::size_t start = behind_tag(svg, root);
  std::string text(svg.substr(0, start));
  text += "\n<title>" + escaped(title) + "</title>";
  constexpr std::string_view counted = "id=\"surface";
  for (std::size_t at = start; at < svg.size();) {
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

}  // namespace nestcup
