#include "tests/bench/port_account.hpp"

#include <algorithm>
#include <optional>

namespace nestcup::bench {
namespace {

/// Which readings arrived; counts what is wrong with arrivals.
std::vector<bool> arrived_of(int board, const SharedList<TimeUs>& sent_us,
                             const std::vector<Arrival>& arrivals, PortAccount& account) {
  std::vector<bool> arrived(sent_us.size());
  std::optional<std::size_t> last;
  TimeUs last_stamp_us = 0;
  for (const Arrival& arrival : arrivals) {
    const std::size_t n = arrival.code / board_count;
    if (n >= sent_us.size() || arrival.code != code_of(board, n)) {
      ++account.strange;
      continue;
    }
    if ((last && n <= *last) || arrival.stamp_us <= last_stamp_us) ++account.out_of_order;
    last = n;
    last_stamp_us = arrival.stamp_us;
    arrived[n] = true;
    account.late_us.push_back(arrival.stamp_us - sent_us[n]);
  }
  return arrived;
}

/// Readings [begin, end) belong to one time of being open.
void account_for(std::size_t begin, std::size_t end, bool ended, const std::vector<bool>& arrived,
                 PortAccount& account) {
  std::size_t after_last = end;
  while (after_last > begin && !arrived[after_last - 1]) --after_last;
  const auto at = [&](std::size_t i) { return arrived.begin() + static_cast<std::ptrdiff_t>(i); };
  const auto there = static_cast<std::size_t>(std::count(at(begin), at(end), true));
  account.due += end - begin;
  account.arrived += there;
  account.lost += after_last - begin - there;
  const std::size_t tail = end - after_last;
  if (!ended) {
    account.lost += tail;
    return;
  }
  account.lost_at_unplug += tail;
  account.most_at_unplug = std::max(account.most_at_unplug, tail);
}

}  // namespace

PortAccount account_of(int board, const SharedList<TimeUs>& sent_us,
                       const std::vector<Arrival>& arrivals, const std::vector<OpenTime>& open) {
  PortAccount account;
  const std::vector<bool> arrived = arrived_of(board, sent_us, arrivals, account);
  std::size_t n = 0;
  for (const OpenTime& time : open) {
    while (n < sent_us.size() && sent_us[n] < time.from_us) ++n;
    std::size_t end = n;
    while (end < sent_us.size() && sent_us[end] <= time.until_us) ++end;
    const bool asked = speech_of(board) == Speech::modbus;
    if (!asked && n < end && !arrived[n]) ++n;
    account_for(n, end, time.ended, arrived, account);
    n = end;
  }
  return account;
}

}  // namespace nestcup::bench
