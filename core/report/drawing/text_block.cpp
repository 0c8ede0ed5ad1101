#include "core/report/drawing/text_block.hpp"

#include <algorithm>

#include "core/report/drawing/likeness.hpp"

namespace nestcup {

namespace {

const char* const ellipsis = "\xE2\x80\xA6";
const char* const no_break_space = "\xC2\xA0";
constexpr double least_size = 0.75;  // of the size asked for
constexpr double size_step = 0.05;

std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> words;
  std::string word;
  for (const char c : text) {
    if (c != ' ' && c != '\n' && c != '\t') {
      word += c;
    } else if (!word.empty()) {
      words.push_back(std::move(word));
      word.clear();
    }
  }
  if (!word.empty()) words.push_back(std::move(word));
  return words;
}

/// Formulas stay with the sign before them and with their coefficients.
std::vector<std::string> terms_of(const std::string& equation) {
  std::vector<std::string> terms;
  bool goes_on = false;
  for (const std::string& word : words_of(equation)) {
    const bool is_species =
        word.find_first_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ") !=
        std::string::npos;
    if (goes_on) {
      terms.back() += no_break_space + word;
    } else {
      terms.push_back(word);
    }
    goes_on = !is_species;
  }
  return terms;
}

/// Fills lines from words.
class Wrapper {
 public:
  Wrapper(Canvas& canvas, const TextStyle& style, double width)
      : canvas_(canvas), style_(style), width_(width) {}

  void add(const std::string& word) {
    if (!line_.empty() && fits(line_ + " " + word)) {
      line_ += " " + word;
      return;
    }
    end_line();
    if (fits(word)) {
      line_ = word;
    } else {
      add_in_parts(word);
    }
  }

  std::vector<std::string> lines() {
    end_line();
    return std::move(lines_);
  }

 private:
  [[nodiscard]] bool fits(const std::string& words) {
    return canvas_.text_width(words, style_) <= width_;
  }

  void end_line() {
    if (!line_.empty()) lines_.push_back(std::move(line_));
    line_.clear();
  }

  void add_in_parts(const std::string& word) {
    for (std::size_t at = 0; at < word.size();) {
      const std::size_t end = std::min(at + utf8_length(word[at]), word.size());
      const std::string longer = line_ + word.substr(at, end - at);
      if (!line_.empty() && !fits(longer)) {
        end_line();
        continue;
      }
      line_ = longer;
      at = end;
    }
  }

  Canvas& canvas_;
  TextStyle style_;
  double width_;
  std::string line_;
  std::vector<std::string> lines_;
};

/// `line` cut so that it fits with an ellipsis behind.
std::string shortened(Canvas& canvas, std::string line, const TextStyle& style, double width) {
  while (!line.empty() && canvas.text_width(line + ellipsis, style) > width) {
    while (line.size() > 1 && (static_cast<unsigned char>(line.back()) & 0xC0) == 0x80) {
      line.pop_back();
    }
    line.pop_back();
  }
  return line + ellipsis;
}

}  // namespace

TextBlock wrapped(Canvas& canvas, const std::string& words, const TextStyle& style, double width) {
  Wrapper wrapper(canvas, style, width);
  for (const std::string& word : style.formula ? terms_of(words) : words_of(words)) {
    wrapper.add(word);
  }
  TextBlock block{wrapper.lines(), style, 0.0};
  for (const std::string& line : block.lines) {
    block.width = std::max(block.width, canvas.text_width(line, style));
  }
  return block;
}

bool breaks_words(Canvas& canvas, const std::string& words, const TextStyle& style, double width) {
  const std::vector<std::string> parts = style.formula ? terms_of(words) : words_of(words);
  return std::any_of(parts.begin(), parts.end(), [&](const std::string& part) {
    return canvas.text_width(part, style) > width;
  });
}

TextBlock fitted(Canvas& canvas, const std::string& words, const TextStyle& style, double width,
                 std::size_t most_lines) {
  TextStyle smaller = style;
  TextBlock block = wrapped(canvas, words, style, width);
  for (double size = 1.0 - size_step; block.lines.size() > most_lines && size >= least_size;
       size -= size_step) {
    smaller.size = size * style.size;
    block = wrapped(canvas, words, smaller, width);
  }
  if (block.lines.size() <= most_lines) return block;
  block.lines.resize(most_lines);
  block.lines.back() = shortened(canvas, block.lines.back(), smaller, width);
  return block;
}

void draw_block(Canvas& canvas, const TextBlock& block, PagePoint at, Across across) {
  double y = at.y + 0.5 * block.line_height();
  for (const std::string& line : block.lines) {
    canvas.text({at.x, y}, line, block.style, across);
    y += block.line_height();
  }
}

}  // namespace nestcup
