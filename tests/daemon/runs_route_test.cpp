// Runs come in pieces: a bench has thousands of them after some terms.
#include <map>
#include <vector>

#include "core/record/run_record.hpp"
#include "tests/catch.hpp"
#include "tests/daemon/quiet_bench.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

Json asked(QuietBench& rig, const std::string& query) {
  const Response response = rig.ask("GET", "/v1/runs" + query, "", std::nullopt);
  INFO(query << ": " << response.body);
  REQUIRE(response.status == 200);
  return Json::parse(response.body);
}

/// "8..57": the first and the last number of a piece, which leaves none out.
std::string numbers(const Json& answer) {
  const Json& runs = answer.at("runs");
  if (runs.empty()) return "none";
  const int first = runs.front().at("number"), last = runs.back().at("number");
  CHECK(last - first + 1 == static_cast<int>(runs.size()));
  return std::to_string(first) + ".." + std::to_string(last);
}

}  // namespace

TEST_CASE("the newest runs come first, and those before them where they are asked for") {
  QuietBench rig(57);
  struct Piece {
    const char* query;
    const char* numbers;
    bool has_older;
  };
  for (const Piece& piece : std::vector<Piece>{{"", "8..57", true},
                                               {"?before=8", "1..7", false},
                                               {"?before=1", "none", false},
                                               {"?most=57", "1..57", false},
                                               {"?most=1", "57..57", true},
                                               {"?before=8&most=7", "1..7", false},
                                               {"?before=8&most=6", "2..7", true},
                                               {"?before=500&most=500", "1..57", false}}) {
    INFO(piece.query);
    const Json answer = asked(rig, piece.query);
    CHECK(numbers(answer) == piece.numbers);
    CHECK(answer.at("has_older") == piece.has_older);
  }
}

TEST_CASE("a wrong question for runs is answered by what is possible") {
  QuietBench rig;
  for (const auto& [query, text] : std::map<std::string, std::string>{
           {"?most=0", "most: 1 to 500 are possible"},
           {"?most=501", "most: 1 to 500 are possible"},
           {"?most=ten", "most: \\\"ten\\\" is no whole number"},
           {"?before=0", "before: the number of a run is expected"},
           {"?before=99999999999", "before: the number of a run is expected"},
           {"?after=3", "after is not known here, expected one of before, most"}}) {
    const Response response = rig.ask("GET", "/v1/runs" + query, "", std::nullopt);
    CHECK(response.status == 400);
    CHECK_THAT(response.body, ContainsSubstring(text));
  }
}
