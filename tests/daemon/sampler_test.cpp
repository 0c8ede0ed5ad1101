#include "daemon/bench/sampler.hpp"

#include <boost/asio/post.hpp>

#include "tests/catch.hpp"
#include "tests/daemon/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using namespace nestcup::test;
using namespace std::chrono_literals;
using Steady = std::chrono::steady_clock;

TEST_CASE("ticks come on a grid from the start, whatever each of them took") {
  boost::asio::io_context context(1);
  const FixedSpeed clock(10.0);
  std::vector<Steady::duration> ticks;
  const auto begun = Steady::now();
  Sampler sampler(context, clock, 0.2, [&] {  // 20 ms of the machine
    ticks.push_back(Steady::now() - begun);
    std::this_thread::sleep_for(5ms);  // would add up if deadlines were relative
    if (ticks.size() == 40) context.stop();
  });
  sampler.start();
  context.run();
  const SamplerStatus status = sampler.status();
  CHECK(status.ticks == 40);
  // Never early, and the last one where the grid says: 40 ticks and those missed on a busy machine.
  for (std::size_t i = 0; i < ticks.size(); ++i) CHECK(ticks[i] >= 20ms * (i + 1));
  const auto grid = 20ms * (40 + status.missed);
  CHECK(ticks.back() >= grid);
  CHECK(ticks.back() < grid + 20ms);
  CHECK(status.late_median_us >= 0.0);
  CHECK(status.late_p99_us >= status.late_median_us);
}

TEST_CASE("grid times that pass during a tick are counted as missed, not made up for") {
  boost::asio::io_context context(1);
  const FixedSpeed clock(1.0);
  int ticks = 0;
  Sampler sampler(context, clock, 0.02, [&] {
    ++ticks;
    if (ticks == 2) std::this_thread::sleep_for(110ms);  // five grid times go by
    if (ticks == 4) context.stop();
  });
  const auto begun = Steady::now();
  sampler.start();
  context.run();
  const SamplerStatus status = sampler.status();
  CHECK(status.ticks == 4);
  CHECK(status.missed >= 5);
  CHECK(Steady::now() - begun >= 20ms * (4 + status.missed) - 20ms);
}

TEST_CASE("a stopped sampler lets its context end") {
  boost::asio::io_context context(1);
  const FixedSpeed clock(1.0);
  int ticks = 0;
  Sampler* to_stop = nullptr;
  Sampler sampler(context, clock, 0.005, [&] {
    // Stopped from without and from within its own tick.
    if (++ticks == 3) boost::asio::post(context, [&] { to_stop->stop(); });
  });
  to_stop = &sampler;
  sampler.start();
  context.run_for(20s);
  CHECK(context.stopped());
  const int seen = ticks;
  CHECK(seen >= 3);
  CHECK(sampler.status().ticks == static_cast<std::uint64_t>(seen));
}

TEST_CASE("a sampler that was never started knows nothing") {
  boost::asio::io_context context(1);
  const FixedSpeed clock(1.0);
  const Sampler sampler(context, clock, 1.0, [] {});
  CHECK(sampler.status().ticks == 0);
  CHECK(sampler.status().late_median_us == 0.0);
}
