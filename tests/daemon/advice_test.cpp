#include "daemon/bench/advice.hpp"

#include "core/report/words/texts.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

AdviceFacts steady(double cup_s, double added_s) {
  AdviceFacts facts;
  facts.cup = VesselFacts{"cup", false, cup_s};
  facts.added = VesselFacts{"added", false, added_s};
  facts.after_period_wanted_s = 180.0;
  return facts;
}

std::string code(const AdviceFacts& facts) {
  return advice_on(facts).code;
}

std::string text(const AdviceFacts& facts) {
  return advice_json(advice_on(facts)).at("text");
}

}  // namespace

TEST_CASE("advice before the mixing waits for what is missing") {
  CHECK(code({}) == "no-cup");
  AdviceFacts facts = steady(100.0, 100.0);
  CHECK(text(facts) == "All steady. Pour when ready.");
  facts.added->stale = true;
  CHECK(text(facts) == "No readings from added. Look at its plug.");
  facts.added->stale = false;
  facts.added->steady_s.reset();
  CHECK(text(facts) == "Wait: added is not steady yet.");
  facts.added.reset();
  CHECK(code(facts) == "pour");
  CHECK(text(steady(100.0, 27.2)) ==
        "Steady. Wait 23 s more, so that the foreperiod is long enough.");
}

TEST_CASE("advice names the trial that comes next, or that all are done") {
  AdviceFacts facts = steady(100.0, 100.0);
  facts.has_sheet = true;
  facts.next_trial = "oxide";
  CHECK(text(facts) == "All steady. Pour when ready: oxide.");
  facts.next_trial.clear();
  CHECK(code(facts) == "sheet-done");
}

TEST_CASE("advice in a run counts down the after period") {
  AdviceFacts facts = steady(100.0, 100.0);
  facts.cup->steady_s.reset();
  facts.state = RunState::suspected;
  CHECK(code(facts) == "suspected");
  facts.state = RunState::running;
  CHECK(code(facts) == "cover");
  facts.after_period_s = 30.5;
  CHECK(text(facts) == "Leave it covered and stirring: 150 s more.");
  facts.going_on_pays = false;
  CHECK(text(facts) == "Waiting longer gains little. Finish now, or in 150 s it ends by itself.");
  facts.cup->stale = true;
  CHECK(code(facts) == "no-readings");
}

TEST_CASE("every advice has its text in every language") {
  for (const Language language : languages) {
    const Texts texts(language);
    for (const char* one :
         {"no-cup", "no-readings", "not-steady", "foreperiod", "pour", "pour-trial", "sheet-done",
          "suspected", "cover", "after-period", "enough"}) {
      INFO(one);
      CHECK(texts.has(std::string("advice.") + one));
    }
  }
}
