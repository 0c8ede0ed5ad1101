// Answers that take a while come from a thread and a connection of their own, so that neither
// readings nor commits wait for them.
#pragma once

#include <atomic>
#include <boost/asio/thread_pool.hpp>
#include <functional>
#include <string>
#include <string_view>

#include "core/store/store.hpp"
#include "daemon/base/log.hpp"
#include "daemon/control/message.hpp"

namespace nestcup::daemon {

class BookReader {
 public:
  /// On the reader's thread: the answer, or why there is none.
  using Work = std::function<Result<Response>(const Store&)>;

  /// @param store  path; opened anew for each answer, for reading
  BookReader(std::string store, Log log);
  BookReader(const BookReader&) = delete;
  BookReader& operator=(const BookReader&) = delete;
  ~BookReader();

  /// Answers by `work`, behind all that was asked before; at once with try_later where too many
  /// wait. Any thread.
  void answer(const Reply& reply, Work work);
  /// Whether the daemon goes on: long work asks this from time to time.
  /// @errors try_later: it stops
  [[nodiscard]] Result<void> goes_on() const;
  /// Drops what waits and ends behind the work under way.
  void stop();

 private:
  void serve(const Reply& reply, const Work& work);

  std::string store_;
  Log log_;
  std::atomic<int> waiting_ = 0;
  std::atomic<bool> stopping_ = false;
  boost::asio::thread_pool thread_{1};
};

}  // namespace nestcup::daemon
