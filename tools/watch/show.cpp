#include "tools/watch/show.hpp"

#include <unistd.h>

#include <array>
#include <ostream>

#include "tools/watch/notices.hpp"
#include "tools/watch/screen.hpp"
#include "tools/watch/terminal.hpp"

namespace nestcup::watch {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::array<double, 4> spans_min{15.0, 30.0, longest_span_min, 5.0};
constexpr auto redraw = std::chrono::milliseconds(250);
constexpr auto look = std::chrono::milliseconds(100);

void print(std::ostream& out, const LineStyle& style, const Snapshot& snapshot, const char* kind,
           const nlohmann::ordered_json& json, const std::string& text) {
  const auto at = snapshot.status.at("clock").at("now").get<std::string>();
  if (style.json) {
    nlohmann::ordered_json line{{"kind", kind}, {"at", at}};
    line.update(json);
    out << line.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) << '\n';
  } else {
    out << at << "  " << text << '\n';
  }
  out.flush();
}

}  // namespace

void show_screen(const Feed& feed, const Signals& signals, const Words& words,
                 cli::Streams& streams) {
  const int input = isatty(STDIN_FILENO) == 1 ? STDIN_FILENO : -1;
  Screen screen(input, STDOUT_FILENO, streams.out);
  std::size_t span = 0;
  while (streams.out.good()) {
    const double span_min = spans_min[span];
    screen.show(screen_rows(view_of(*feed.now(), words, span_min), screen.size(), span_min, words,
                            streams.colour));
    const Happened happened = signals.wait(input, redraw);
    if (happened.input_ended || (happened.signal && asks_to_end(*happened.signal))) return;
    if (happened.signal == SIGTSTP) screen.pause();
    if (happened.key == 'q' || happened.key == 'Q') return;
    if (happened.key == 's' || happened.key == 'S') span = (span + 1) % spans_min.size();
  }
}

void show_lines(const Feed& feed, const Signals& signals, const Words& words, LineStyle style,
                cli::Streams& streams) {
  auto before = feed.now();
  auto due = Clock::now();
  while (streams.out.good()) {
    const auto now = feed.now();
    for (const Notice& notice : notices_between(*before, *now, words)) {
      print(streams.out, style, *now, "event", notice.json, notice.text);
    }
    before = now;
    if (Clock::now() >= due && now->linked) {
      print(streams.out, style, *now, "state", state_json(*now), state_line(*now, words));
      due = Clock::now() + style.every;
    }
    const Happened happened = signals.wait(-1, look);
    if (happened.signal && asks_to_end(*happened.signal)) return;
    if (happened.signal == SIGTSTP) raise(SIGSTOP);
  }
}

}  // namespace nestcup::watch
