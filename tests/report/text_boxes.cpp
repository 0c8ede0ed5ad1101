#include "tests/report/text_boxes.hpp"

#include <fmt/format.h>

#include <cstddef>

namespace nestcup {

namespace {

constexpr double edge = 3.0;  // stays free at the page's edges, pt

bool on_page(const PageBox& box, const ChartPage& page) {
  return box.left >= edge && box.top >= edge && box.right() <= page_width - edge &&
         box.bottom() <= page.height - edge;
}

bool overlap(const PageBox& a, const PageBox& b) {
  return a.left < b.right() && b.left < a.right() && a.top < b.bottom() && b.top < a.bottom();
}

std::string shown(const TextBox& text) {
  return fmt::format("\"{}\" ({:.1f} to {:.1f}, {:.1f} to {:.1f})", text.words, text.box.left,
                     text.box.right(), text.box.top, text.box.bottom());
}

}  // namespace

std::vector<TextBox> text_boxes(const ChartPage& page) {
  ScratchCanvas scratch;
  page.draw(scratch.canvas());
  return scratch.canvas().texts();
}

std::string layout_fault(const ChartPage& page) {
  const std::vector<TextBox> texts = text_boxes(page);
  if (texts.empty()) return "no texts";
  for (std::size_t i = 0; i < texts.size(); ++i) {
    if (!on_page(texts[i].box, page)) {
      return fmt::format("{} runs off the page of {} x {}", shown(texts[i]), page_width,
                         page.height);
    }
    for (std::size_t j = 0; j < i; ++j) {
      if (overlap(texts[i].box, texts[j].box)) {
        return shown(texts[i]) + " lies over " + shown(texts[j]);
      }
    }
  }
  return "";
}

}  // namespace nestcup
