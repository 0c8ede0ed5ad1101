#include "drivers/line/read_watch.hpp"

#include <sys/epoll.h>

#include <array>
#include <cerrno>
#include <system_error>
#include <utility>

namespace nestcup::drivers {
namespace {

namespace asio = boost::asio;

constexpr auto beat_every = std::chrono::milliseconds(200);
constexpr auto held_up_from = std::chrono::seconds(1);

int new_set() {
  const int set = ::epoll_create1(EPOLL_CLOEXEC);
  if (set < 0) throw std::system_error(errno, std::system_category(), "epoll_create1");
  return set;
}

}  // namespace

asio::execution_context::id ReadWatch::id;

ReadWatch::ReadWatch(asio::io_context& context)
    : service(context), set_(context, new_set()), beat_(context) {}

ReadWatch& ReadWatch::of(asio::io_context& context) {
  return asio::use_service<ReadWatch>(context);
}

std::uint64_t ReadWatch::add(int descriptor, std::function<void()> readable) {
  epoll_event wanted{};
  wanted.events = EPOLLIN | EPOLLET;
  wanted.data.u64 = ++last_number_;
  if (::epoll_ctl(set_.native_handle(), EPOLL_CTL_ADD, descriptor, &wanted) != 0) return 0;
  ports_[last_number_] = std::make_shared<std::function<void()>>(std::move(readable));
  if (ports_.size() == 1) {
    beat_late_ = false;
    beat();
  }
  if (!waiting_) wait();
  return last_number_;
}

void ReadWatch::remove(std::uint64_t number, int descriptor) {
  if (ports_.erase(number) == 0) return;
  ::epoll_ctl(set_.native_handle(), EPOLL_CTL_DEL, descriptor, nullptr);
  // An io_context without ports has nothing to wait for here.
  if (!ports_.empty()) return;
  set_.cancel();
  beat_.cancel();
}

bool ReadWatch::was_held_up() const {
  return beat_late_ || std::chrono::steady_clock::now() - beaten_ > held_up_from;
}

/// After a late beat whatever waited is read until the next one.
void ReadWatch::beat() {
  beaten_ = std::chrono::steady_clock::now();
  beat_.expires_after(beat_every);
  beat_.async_wait([this](const boost::system::error_code& cancelled) {
    if (cancelled || ports_.empty()) return;
    beat_late_ = std::chrono::steady_clock::now() - beaten_ > held_up_from;
    beat();
  });
}

void ReadWatch::shutdown() {
  ports_.clear();
  boost::system::error_code ignored;
  set_.close(ignored);
  beat_.cancel();
}

void ReadWatch::wait() {
  waiting_ = true;
  set_.async_wait(asio::posix::stream_descriptor::wait_read,
                  [this](const boost::system::error_code& cancelled) {
                    waiting_ = false;
                    if (!cancelled) tell();
                    if (!ports_.empty()) wait();
                  });
}

void ReadWatch::tell() {
  std::array<epoll_event, 64> events{};
  const int count = ::epoll_wait(set_.native_handle(), events.data(), events.size(), 0);
  for (int i = 0; i < count; ++i) {
    // Copied, since an event is packed: a reference to its number may be misaligned.
    const std::uint64_t number = events[static_cast<std::size_t>(i)].data.u64;
    // A port may go, and take its function along, while another or itself is told.
    const auto found = ports_.find(number);
    if (found == ports_.end()) continue;
    const auto readable = found->second;
    (*readable)();
  }
}

}  // namespace nestcup::drivers
