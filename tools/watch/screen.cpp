#include "tools/watch/screen.hpp"

#include <algorithm>

#include "tools/cli/text_layout.hpp"
#include "tools/watch/digits.hpp"
#include "tools/watch/row.hpp"

namespace nestcup::watch {
namespace {

using cli::display_width;
using cli::Tone;

constexpr int roomy_rows = 20;
constexpr const char* between = " | ";

/// How large the digits may be so that all probes stand side by side; 0 for a line a probe.
int digit_scale(const BenchView& view, ScreenSize size) {
  const int probes = std::max(static_cast<int>(view.probes.size()), 1);
  const int columns = size.columns / probes;
  constexpr int columns_of_one = 25;  // four digits, a sign, a point, and room
  if (size.rows >= 2 * roomy_rows && columns >= 2 * columns_of_one) return 2;
  return size.rows >= roomy_rows && columns >= columns_of_one ? 1 : 0;
}

/// One line a probe, two where the window is narrow.
void add_small(std::vector<Row>& rows, const BenchView& view, ScreenSize size, const Words& words) {
  std::size_t widest = 0, widest_row = 0;
  constexpr std::size_t temperature_columns = 14;  // with its unit, the blanks beside it, and more
  for (const ProbeView& probe : view.probes) {
    widest = std::max(widest, display_width(probe.title));
    widest_row = std::max(widest_row, display_width(probe.state));
  }
  widest_row += widest + temperature_columns;
  constexpr int rows_for_two = 12;
  const bool is_narrow =
      widest_row > static_cast<std::size_t>(size.columns) && size.rows >= rows_for_two;
  for (const ProbeView& probe : view.probes) {
    const std::string gap(widest - display_width(probe.title) + 2, ' ');
    const std::string temperature = probe.temperature + " " + words.degC();
    rows.push_back({{probe.title + gap, Tone::plain}, {temperature, Tone::heading}});
    if (is_narrow) rows.emplace_back();
    rows.back().push_back({"  " + probe.state, probe.tone});
  }
}

/// Columns of a block a probe, side by side.
void add_large(std::vector<Row>& rows, const BenchView& view, int scale, int columns,
               const Words& words) {
  const int each = columns / static_cast<int>(view.probes.size());
  const int high = large_rows(scale, words.charset());
  Row titles, states;
  std::vector<Row> digits(static_cast<std::size_t>(high));
  for (const ProbeView& probe : view.probes) {
    titles.push_back(padded(probe.title + "  " + words.degC(), each, Tone::plain));
    states.push_back(padded(probe.state, each, probe.tone));
    const auto drawn = large(probe.temperature, scale, words.charset());
    for (std::size_t i = 0; i < digits.size(); ++i) {
      digits[i].push_back(padded(i < drawn.size() ? drawn[i] : "", each, Tone::plain));
    }
  }
  rows.push_back(titles);
  rows.insert(rows.end(), digits.begin(), digits.end());
  rows.push_back(states);
}

void add_wrapped(std::vector<Row>& rows, const std::string& text, int columns, Tone tone) {
  for (std::string& line : lines_of(text, columns)) rows.push_back({{std::move(line), tone}});
}

void add_run(std::vector<Row>& rows, const RunView& run, int columns) {
  const std::string head = run.since.empty() ? run.period : run.period + between + run.since;
  add_wrapped(rows, head, columns, Tone::heading);
  if (!run.next.empty()) add_wrapped(rows, run.next, columns, Tone::plain);
  if (run.rise.empty()) return;
  const std::string both = run.surer.empty() ? run.rise : run.rise + between + run.surer;
  const bool fits = display_width(both) <= static_cast<std::size_t>(columns);
  add_wrapped(rows, fits ? both : run.rise, columns, Tone::plain);
}

Row header(const BenchView& view, int columns) {
  const int room = columns - static_cast<int>(display_width(view.link)) - 1;
  std::string left = view.title + "   " + view.trial;
  if (static_cast<int>(display_width(left)) > room) left = view.title;
  if (room < static_cast<int>(display_width(view.title))) {
    return {{view.link_tone == Tone::bad ? view.link : view.title, view.link_tone}};
  }
  return {padded(left, room, Tone::heading), {" ", Tone::plain}, {view.link, view.link_tone}};
}

/// As many of the newest as a row holds; all are in the record.
std::string newest_timed(const std::vector<std::string>& timed, int columns, const Words& words) {
  const std::string label = words.text("live_run.timed") + ":";
  std::string text;
  for (auto one = timed.rbegin(); one != timed.rend(); ++one) {
    std::string longer = "  " + *one + text;
    const std::size_t width = display_width(label) + display_width(longer);
    if (width > static_cast<std::size_t>(columns)) break;
    text = std::move(longer);
  }
  return label + text;
}

void space_out(std::vector<Row>& rows, bool roomy) {
  if (roomy) rows.push_back({});
}

/// All above the curve.
std::vector<Row> facts_rows(const BenchView& view, ScreenSize size, const Words& words) {
  const bool roomy = size.rows >= roomy_rows;
  std::vector<Row> rows{header(view, size.columns)};
  space_out(rows, roomy);
  const int scale = digit_scale(view, size);
  if (scale > 0 && !view.probes.empty()) {
    add_large(rows, view, scale, size.columns, words);
  } else {
    add_small(rows, view, size, words);
  }
  space_out(rows, roomy);
  add_wrapped(rows, view.advice, size.columns, Tone::heading);
  space_out(rows, roomy);
  add_run(rows, view.run, size.columns);
  if (roomy && !view.run.timed.empty()) {
    rows.push_back({{newest_timed(view.run.timed, size.columns, words), Tone::plain}});
  }
  constexpr std::size_t most_problems = 3;
  for (std::size_t i = 0; i < std::min(view.problems.size(), most_problems); ++i) {
    add_wrapped(rows, view.problems[i], size.columns, Tone::bad);
  }
  return rows;
}

}  // namespace

std::vector<std::string> screen_rows(const BenchView& view, ScreenSize size, double span_min,
                                     const Words& words, bool colour) {
  std::vector<Row> rows = facts_rows(view, size, words);
  const bool roomy = size.rows >= roomy_rows;
  const int left = size.rows - static_cast<int>(rows.size()) - 1;
  if (roomy && left > fewest_plot_rows) rows.push_back({});
  const int free = size.rows - static_cast<int>(rows.size()) - 1;
  for (std::string& line : plot(view.curves, view.curves_min, size.columns, free, words)) {
    rows.push_back({{std::move(line), Tone::plain}});
  }
  const auto all = static_cast<std::size_t>(std::max(size.rows, 1));
  rows.resize(all - 1);
  const std::string span = words.text("live_curve.minutes", {{"count", words.number(span_min, 0)}});
  rows.push_back({{words.text("watch.keys", {{"span", span}}), Tone::plain}});
  std::vector<std::string> lines;
  for (const Row& row : rows) lines.push_back(fitted(row, size.columns, colour));
  return lines;
}

}  // namespace nestcup::watch
