#include "daemon/api/class_wall.hpp"

#include <fmt/format.h>
#include <sys/resource.h>

#include <boost/asio/post.hpp>
#include <exception>
#include <utility>

#include "core/base/time_text.hpp"
#include "core/notebook/postgres/book.hpp"
#include "daemon/api/class_answer.hpp"
#include "daemon/base/or_null.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;
using std::chrono::system_clock;

constexpr std::chrono::seconds fresh_for{10};
constexpr int most_asking = 64;  // as many as there may be pages

TimeUs wall_us() {
  return std::chrono::duration_cast<std::chrono::microseconds>(
             system_clock::now().time_since_epoch())
      .count();
}

}  // namespace

ClassWall::ClassWall(ClassSettings settings, Log log)
    : settings_(std::move(settings)), log_(std::move(log)) {
  boost::asio::post(thread_, [] {
    // Readings need a processor more than a page does (nice(1), of this thread alone).
    constexpr int kindness = 10;
    setpriority(PRIO_PROCESS, 0, kindness);
  });
}

ClassWall::~ClassWall() {
  stop();
}

void ClassWall::answer(const Reply& reply, bool hidden) {
  if (++waiting_ > most_asking) {
    --waiting_;
    return reply(error_response(503, Fault::try_later,
                                "too many ask for the class at once; ask again in a moment"));
  }
  boost::asio::post(thread_, [this, reply, hidden] {
    if (!stopping_) serve(reply, hidden);
    --waiting_;
  });
}

void ClassWall::serve(const Reply& reply, bool hidden) {
  Seen& seen = seen_[hidden];
  const auto now = std::chrono::steady_clock::now();
  if (seen.tried.time_since_epoch().count() == 0 || now - seen.tried >= fresh_for) {
    read_anew(seen, hidden);
    seen.tried = std::chrono::steady_clock::now();
  }
  reply(json_response({{"class",
                        {{"from", settings_.database.target},
                         {"hours", settings_.hours},
                         {"hidden", hidden},
                         {"as_of", text_or_null(seen.as_of)},
                         {"problem", text_or_null(seen.problem)},
                         {"sheets", seen.sheets.value_or(Json::array())}}}}));
}

void ClassWall::read_anew(Seen& seen, bool hidden) {
  constexpr double us_per_hour = 3.6e9;
  const TimeUs now_us = wall_us();
  RunChoice choice;
  choice.since_us = now_us - static_cast<TimeUs>(settings_.hours * us_per_hour);
  try {
    const auto book =
        PostgresBook::open(settings_.database, choice, PostgresBook::Revisions::of_benches,
                           [this] { return !stopping_.load(); });
    if (!book) return note(seen, book.error().text);
    auto sheets = class_answer(**book, {settings_.letters, hidden});
    if (!sheets) return note(seen, sheets.error().text);
    seen.sheets = std::move(*sheets);
    seen.as_of = rfc3339(now_us);
    if (!seen.problem.empty()) log_("class: the database is read again");
    seen.problem.clear();
  } catch (const std::exception& error) {
    note(seen, error.what());
  }
}

/// Told once, not at every try.
void ClassWall::note(Seen& seen, const std::string& problem) const {
  if (problem != seen.problem && !stopping_) log_.warning("class: " + problem);
  seen.problem = problem;
}

void ClassWall::stop() {
  stopping_ = true;
  thread_.join();
}

}  // namespace nestcup::daemon
