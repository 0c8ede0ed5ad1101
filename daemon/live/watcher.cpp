#include "daemon/live/watcher.hpp"

#include <boost/asio/buffer.hpp>
#include <boost/asio/socket_base.hpp>
#include <chrono>
#include <utility>

namespace nestcup::daemon {
namespace {

namespace websocket = boost::beast::websocket;
using boost::beast::error_code;

/// Little waits in the kernel, so that who is slow soon gets the newest readings.
constexpr int send_buffer_bytes = 64 * 1024;
constexpr std::size_t longest_message_bytes = 1024;

websocket::stream_base::timeout patience() {
  // Silence for the half of the idle time brings a ping; a sleeping tablet is gone after all of it.
  return {std::chrono::seconds(5), std::chrono::seconds(30), true};
}

}  // namespace

Watcher::Watcher(StreamWire::socket_type socket, Newest newest, OnEnd on_end)
    : socket_(std::move(socket)), newest_(std::move(newest)), on_end_(std::move(on_end)) {
  error_code ignored;
  socket_.next_layer().socket().set_option(
      boost::asio::socket_base::send_buffer_size(send_buffer_bytes), ignored);
  socket_.set_option(patience());
  socket_.read_message_max(longest_message_bytes);
}

void Watcher::accept(const Request& request, std::function<void()> ready) {
  socket_.async_accept(request,
                       [self = shared_from_this(), ready = std::move(ready)](error_code code) {
                         if (code) return self->close();
                         self->ready_ = true;
                         self->listen();
                         ready();
                         self->write_next();
                       });
}

void Watcher::readings(StreamText text) {
  backlog_.readings(std::move(text));
  write_next();
}

void Watcher::state(StreamText text) {
  backlog_.state(std::move(text));
  write_next();
}

void Watcher::event(StreamText text) {
  backlog_.event(std::move(text));
  write_next();
}

void Watcher::send_away(const char* reason) {
  say_goodbye(websocket::close_code::policy_error, reason);
}

void Watcher::listen() {
  socket_.async_read(heard_, [self = shared_from_this()](error_code code, std::size_t) {
    if (code) return self->close();
    self->send_away("this stream only tells");
  });
}

void Watcher::write_next() {
  if (!ready_ || closing_ || writing_) return;
  if (backlog_.is_overrun()) {
    return say_goodbye(websocket::close_code::try_again_later, "too slow for what happens here");
  }
  if (!backlog_.has_next()) return;
  writing_ = backlog_.next(backlog_.is_behind() ? newest_() : nullptr);
  socket_.text(true);
  socket_.async_write(boost::asio::buffer(*writing_),
                      [self = shared_from_this()](error_code code, std::size_t) {
                        self->writing_.reset();
                        if (code) return self->close();
                        self->write_next();
                      });
}

void Watcher::say_goodbye(websocket::close_code code, const char* reason) {
  if (std::exchange(closing_, true)) return;
  socket_.async_close({code, reason}, [self = shared_from_this()](error_code) { self->close(); });
}

void Watcher::close() {
  const auto self = shared_from_this();  // whoever is told may let go of it
  closing_ = true;
  error_code ignored;
  socket_.next_layer().socket().close(ignored);
  if (auto on_end = std::exchange(on_end_, nullptr)) on_end(this);
}

}  // namespace nestcup::daemon
