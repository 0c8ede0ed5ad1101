// How many readings of one probe are taken.
#include "daemon/bench/reading_rate.hpp"

#include "tests/catch.hpp"

using nestcup::TimeUs;
using nestcup::to_us;
using nestcup::us_per_s;
using nestcup::daemon::ReadingRate;

namespace {

constexpr TimeUs start_us = 1'700'000'000 * us_per_s;

/// How many of `count` readings at an even rate are taken.
int taken_of(ReadingRate& rate, int count, double per_s, TimeUs from_us) {
  int taken = 0;
  for (int i = 0; i < count; ++i) taken += rate.take(from_us + to_us(i / per_s)) ? 1 : 0;
  return taken;
}

}  // namespace

TEST_CASE("a probe at its own pace loses nothing", "[reading-rate]") {
  ReadingRate rate;
  CHECK(taken_of(rate, 36000, 10.0, start_us) == 36000);
  CHECK(rate.dropped() == 0);
  CHECK_FALSE(rate.is_news());
  CHECK_FALSE(rate.is_flooded(start_us + 3600 * us_per_s));
}

TEST_CASE("what had to wait comes at once and is taken", "[reading-rate]") {
  ReadingRate rate;
  CHECK(taken_of(rate, 2000, 1e6, start_us) == 2000);
  // Emptied so far, it is full again after ten seconds.
  CHECK(taken_of(rate, 2000, 1e6, start_us + 10 * us_per_s) == 2000);
  CHECK(rate.dropped() == 0);
}

TEST_CASE("of a flood 200 readings a second are taken", "[reading-rate]") {
  ReadingRate rate;
  const int taken = taken_of(rate, 1'000'000, 1e5, start_us);  // ten seconds of it
  CHECK(taken >= 3990);
  CHECK(taken <= 4010);
  CHECK(rate.dropped() == static_cast<std::uint64_t>(1'000'000 - taken));
}

TEST_CASE("a flood is news once, and another one a minute later again", "[reading-rate]") {
  ReadingRate rate;
  int news = 0;
  const auto flood = [&](TimeUs from_us) {
    for (int i = 0; i < 100'000; ++i) {
      if (!rate.take(from_us + i)) news += rate.is_news() ? 1 : 0;
    }
  };
  flood(start_us);
  CHECK(news == 1);
  CHECK(rate.is_flooded(start_us + us_per_s / 2));
  CHECK_FALSE(rate.is_flooded(start_us + 3 * us_per_s));
  flood(start_us + 20 * us_per_s);
  CHECK(news == 1);
  flood(start_us + 120 * us_per_s);
  CHECK(news == 2);
}
