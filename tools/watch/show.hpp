// The two ways of watching: on a screen, and line by line.
#pragma once

#include <chrono>

#include "tools/cli/streams.hpp"
#include "tools/watch/feed.hpp"
#include "tools/watch/signals.hpp"
#include "tools/watch/words.hpp"

namespace nestcup::watch {

struct LineStyle {
  bool json = false;                   ///< one JSON object a line
  std::chrono::milliseconds every{0};  ///< between two lines on how the bench stands
};

/// Shows screens on standard output until q, an end of the terminal or a signal.
void show_screen(const Feed& feed, const Signals& signals, const Words& words,
                 cli::Streams& streams);

/// Prints lines until a signal, or until nobody reads them any more.
void show_lines(const Feed& feed, const Signals& signals, const Words& words, LineStyle style,
                cli::Streams& streams);

}  // namespace nestcup::watch
