#include "drivers/line/arrivals.hpp"

#include <boost/asio/post.hpp>
#include <utility>

namespace nestcup::drivers {

namespace asio = boost::asio;

namespace {

// After so long the ports are looked at again: what arrives meanwhile is stamped so much later.
constexpr auto turn = std::chrono::microseconds(200);

}  // namespace

asio::execution_context::id Arrivals::id;

Arrivals::Arrivals(asio::io_context& context)
    : service(context), context_(context), timer_(context) {}

Arrivals& Arrivals::of(asio::io_context& context) {
  return asio::use_service<Arrivals>(context);
}

void Arrivals::put(ArrivalTaker& taker, std::size_t size, TimeUs stamp_us,
                   std::chrono::nanoseconds longest) {
  const auto now = Steady::now();
  // A timer costs a waking too, so that waiting must bring several arrivals together.
  const bool others_are_near = now - std::exchange(last_, now) < longest / 2;
  const bool may_wait = longest.count() > 0 && (others_are_near || timed_);
  waiting_.push_back({&taker, size, stamp_us});
  if (!may_wait) return hand_over();
  if (!timed_) wait(longest);
}

void Arrivals::wait(std::chrono::nanoseconds longest) {
  timer_.expires_after(longest);
  timer_.async_wait([this](const boost::system::error_code& cancelled) {
    if (!cancelled) hand_over_in_turns();
  });
  timed_ = true;
}

void Arrivals::hand_over() {
  if (handing_over_) return;
  if (std::exchange(timed_, false)) timer_.cancel();
  hand_over_until(Steady::time_point::max());
}

void Arrivals::hand_over_in_turns() {
  timed_ = false;
  hand_over_until(Steady::now() + turn);
  if (waiting_.empty()) return;
  timed_ = true;
  asio::post(context_, [this] { hand_over_in_turns(); });
}

void Arrivals::hand_over_until(Steady::time_point end) {
  // A taker may throw (no memory): what is behind it waits for the next arrival then.
  struct Going {
    explicit Going(bool& now) : flag(now) { flag = true; }
    Going(const Going&) = delete;
    Going& operator=(const Going&) = delete;
    ~Going() { flag = false; }
    bool& flag;
  } const going(handing_over_);
  while (!waiting_.empty()) {
    const Waiting next = waiting_.front();
    waiting_.pop_front();
    next.taker->take_arrival(next.size, next.stamp_us);
    if (Steady::now() >= end) return;
  }
}

void Arrivals::forget(const ArrivalTaker& taker) {
  std::erase_if(waiting_, [&](const Waiting& one) { return one.taker == &taker; });
}

void Arrivals::shutdown() {
  waiting_.clear();
  timer_.cancel();
}

}  // namespace nestcup::drivers
