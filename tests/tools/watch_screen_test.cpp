// The terminal's screen: words, sizes, languages, and names that mean no good.
#include <algorithm>
#include <cctype>

#include "tests/catch.hpp"
#include "tools/cli/text_layout.hpp"
#include "tools/watch/notices.hpp"
#include "tools/watch/screen.hpp"

using namespace nestcup;
using namespace nestcup::watch;

namespace {

constexpr TimeUs now_us = 1'000'000'000'000;

nlohmann::json probe(const std::string& name, const std::string& role, double degC) {
  return {{"name", name},
          {"role", role},
          {"last_degC", degC},
          {"age_s", 0.2},
          {"stale", false},
          {"health", "well"},
          {"steady_since_us", now_us - 83 * us_per_s},
          {"steady_for_s", 83.0},
          {"drift_K_per_min", 0.01}};
}

/// A bench in its after period, 45 s after the mixing.
Snapshot in_after_period() {
  Snapshot snapshot;
  snapshot.linked = true;
  snapshot.told_at = std::chrono::steady_clock::now();
  snapshot.status = {
      {"bench", "bench-4"},
      {"probes", {probe("t1", "cup", 29.456), probe("t2", "added", -3.071)}},
      {"run",
       {{"state", "running"},
        {"onset_us", now_us - 44 * us_per_s},
        {"settled_us", now_us - 20 * us_per_s},
        {"after_period_s", 20.0},
        {"last_finished", nullptr},
        {"provisional",
         {{"mixing_us", now_us - 45 * us_per_s},
          {"corrected_rise_K", {{"value", 8.51347}, {"u", 0.0123}}},
          {"going_on_pays", true}}}}},
      {"advice",
       {{"code", "after-period"}, {"words", {{"left_s", "35"}}}, {"text", "Leave it covered."}}},
      {"sheet", {{"next_trial", {{"name", "oxide"}, {"number", 2}}}}},
      {"clock", {{"now_us", now_us}, {"speed", 1.0}, {"now", "2026-01-01T00:00:00.000Z"}}},
      {"well", true},
      {"problems", nlohmann::json::array()}};
  for (const double level : {29.0, 24.0}) {
    Series series;
    for (int i = 0; i < 600; ++i) {
      series.add({now_us - (600 - i) * us_per_s}, {level + (i > 555 ? 0.4 : 0.0)});
    }
    snapshot.series.push_back(series);
  }
  return snapshot;
}

std::string joined(const std::vector<std::string>& rows) {
  std::string text;
  for (const std::string& row : rows) text += row + "\n";
  return text;
}

std::vector<std::string> screen_of(const Snapshot& snapshot, ScreenSize size, const Words& words,
                                   bool colour = false) {
  return screen_rows(view_of(snapshot, words, 15.0), size, 15.0, words, colour);
}

const Words english(Language::english, Charset::utf8);
const Words plain_german(Language::german, Charset::ascii);

bool is_ascii(const std::string& text) {
  return std::all_of(text.begin(), text.end(),
                     [](unsigned char letter) { return letter < 0x80 && letter != 0x1B; });
}

}  // namespace

TEST_CASE("a screen has its size, whatever that is", "[watch]") {
  Snapshot snapshot = in_after_period();
  snapshot.status["problems"] = {"port board: a long story about a plug that somebody pulled out"};
  for (const int columns : {1, 12, 40, 79, 80, 132, 200}) {
    for (const int rows : {1, 2, 5, 15, 24, 50}) {
      for (const Words& words : {english, plain_german}) {
        const auto lines = screen_of(snapshot, {columns, rows}, words);
        INFO(columns << "x" << rows);
        REQUIRE(static_cast<int>(lines.size()) == rows);
        for (const auto& line : lines) {
          CHECK(static_cast<int>(cli::display_width(line)) <= columns);
        }
      }
    }
  }
}

TEST_CASE("a narrow screen has all that matters", "[watch]") {
  const std::string text = joined(screen_of(in_after_period(), {40, 15}, english));
  for (const char* wanted :
       {"Bench bench-4", "live", "29.46 \xC2\xB0",
        "\xE2\x88\x92"
        "3.07 \xC2\xB0",
        "steady for 1:23", "Leave it covered and stirring: 35 s", "After period",
        "Since mixing 0:45", "at 1:00, in 15 s", "8.513 \xC2\xB1 0.012 K", "q: quit"}) {
    INFO(wanted << " in\n" << text);
    CHECK(text.find(wanted) != std::string::npos);
  }
}

TEST_CASE("a wide screen adds timed readings, and the next trial", "[watch]") {
  const std::string text = joined(screen_of(in_after_period(), {100, 40}, english));
  for (const char* wanted :
       {"Next: oxide (2)", "Timed readings:  0:20 29.40  0:40 29.40", "Going on makes it surer."}) {
    INFO(wanted << " in\n" << text);
    CHECK(text.find(wanted) != std::string::npos);
  }
}

TEST_CASE("in German, and in ASCII where there is nothing else", "[watch]") {
  const std::string text = joined(screen_of(in_after_period(), {60, 19}, plain_german));
  CHECK(is_ascii(text));
  for (const char* wanted : {"Zweites Gefaess", "29,46 degC", "-3,07 degC", "ruhig seit 1:23",
                             "Seit dem Mischen 0:45", "8,513 +- 0,012 K"}) {
    INFO(wanted << " in\n" << text);
    CHECK(text.find(wanted) != std::string::npos);
  }
}

TEST_CASE("colours stand beside the words and take no room", "[watch]") {
  const auto coloured = screen_of(in_after_period(), {60, 19}, english, true);
  const auto plain = screen_of(in_after_period(), {60, 19}, english, false);
  std::string without;
  for (std::size_t i = 0; i < coloured.size(); ++i) {
    std::string line = coloured[i];
    for (auto begin = line.find('\033'); begin != std::string::npos; begin = line.find('\033')) {
      line.erase(begin, line.find('m', begin) - begin + 1);
    }
    CHECK(line == plain[i]);
  }
  CHECK(joined(coloured).find("\033[32m") != std::string::npos);
  CHECK(joined(plain).find('\033') == std::string::npos);
}

TEST_CASE("a name cannot steer the terminal", "[watch]") {
  Snapshot snapshot = in_after_period();
  snapshot.status["bench"] =
      "a\033[2J\nb\x7F\xC2\x9B"
      "c";
  snapshot.status["problems"] = {"\033]0;x\a"};
  snapshot.status["advice"] = {
      {"code", "new-code"}, {"words", nlohmann::json::object()}, {"text", "\033c"}};
  snapshot.status["sheet"]["next_trial"]["name"] = "\033[31m";
  const auto lines = screen_of(snapshot, {80, 24}, english);
  for (const auto& line : lines) {
    CHECK(line.find('\033') == std::string::npos);
    CHECK(line.find('\a') == std::string::npos);
    CHECK(line.find("\xC2\x9B") == std::string::npos);
  }
  CHECK(lines.front().find("Bench a [2J b  c") == 0);
  CHECK(state_line(snapshot, english).find('\033') == std::string::npos);
}

TEST_CASE("what is not known is a dash or a word, never a number", "[watch]") {
  Snapshot snapshot = in_after_period();
  nlohmann::json& cup = snapshot.status["probes"][0];
  cup["last_degC"] = nullptr;
  cup["stale"] = true;
  cup["age_s"] = 75.0;
  snapshot.status["run"]["provisional"] = nullptr;
  snapshot.linked = false;
  const std::string text = joined(screen_of(snapshot, {60, 19}, english));
  CHECK(text.find("\xE2\x80\x93 \xC2\xB0") != std::string::npos);
  CHECK(text.find("no reading for 1:15") != std::string::npos);
  CHECK(text.find("comes in the after period") != std::string::npos);
  CHECK(text.find("Connection lost") != std::string::npos);
}

TEST_CASE("what happened between two looks is told once, in words and for programs", "[watch]") {
  const Snapshot before = in_after_period();
  Snapshot after = before;
  CHECK(notices_between(before, after, english).empty());
  after.status["run"]["state"] = "watching";
  after.status["run"]["settled_us"] = nullptr;
  after.status["run"]["last_finished"] = {{"id", "x"}, {"number", 7}, {"stored_after_ms", 1.0}};
  after.status["probes"][1]["steady_since_us"] = nullptr;
  after.status["probes"][0]["health"] = "frozen";
  after.status["problems"] = {"probe t1: frozen"};
  std::vector<std::string> texts, kinds;
  for (const Notice& notice : notices_between(before, after, english)) {
    texts.push_back(notice.text);
    kinds.push_back(notice.json.at("event"));
  }
  CHECK(texts == std::vector<std::string>{"Foreperiod", "Run 7 is stored.", "t1: does not change",
                                          "t2: not steady any more", "Problem: probe t1: frozen"});
  CHECK(kinds == std::vector<std::string>{"period", "stored", "health", "steady", "problem"});
}

TEST_CASE("the locale says language and characters", "[watch]") {
  const auto german = [](const char* name) -> std::optional<std::string> {
    if (std::string(name) == "LANG") return "de_AT.UTF-8";
    return std::string(name) == "LC_ALL" ? std::optional<std::string>("") : std::nullopt;
  };
  CHECK(language_of(german) == Language::german);
  CHECK(charset_of(german) == Charset::utf8);
  const auto old = [](const char* name) -> std::optional<std::string> {
    if (std::string(name) == "LANG") return "de_DE.utf8";
    return std::string(name) == "LC_CTYPE" ? std::optional<std::string>("C") : std::nullopt;
  };
  CHECK(language_of(old) == Language::german);
  CHECK(charset_of(old) == Charset::ascii);
  const auto none = [](const char*) -> std::optional<std::string> { return std::nullopt; };
  CHECK(language_of(none) == Language::english);
  CHECK(charset_of(none) == Charset::ascii);
}
