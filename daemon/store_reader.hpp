// Long questions to the store, on a thread and a connection of their own, so that no commit waits.
#pragma once

#include <boost/asio/post.hpp>
#include <boost/asio/thread_pool.hpp>
#include <functional>
#include <optional>
#include <string>

#include "core/store/store.hpp"

namespace nestcup::daemon {

class StoreReader {
 public:
  /// @param path  the store; opened with the first question
  explicit StoreReader(std::string path) : path_(std::move(path)) {}

  /// Asks after all questions before it. `answer` gets the store, or why it cannot be read; it is
  /// called on the reader's thread.
  void ask(std::function<void(const Result<const Store*>&)> answer);
  /// Waits for the question that is being answered; later ones are dropped.
  void stop();

 private:
  [[nodiscard]] Result<const Store*> open();

  std::string path_;
  std::optional<Store> store_;  ///< of the reader's thread alone
  boost::asio::thread_pool thread_{1};
};

}  // namespace nestcup::daemon
