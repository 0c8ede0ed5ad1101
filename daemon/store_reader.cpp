#include "daemon/store_reader.hpp"

#include <utility>

namespace nestcup::daemon {

void StoreReader::ask(std::function<void(const Result<const Store*>&)> answer) {
  boost::asio::post(thread_, [this, answer = std::move(answer)] { answer(open()); });
}

void StoreReader::stop() {
  thread_.stop();
  thread_.join();
}

Result<const Store*> StoreReader::open() {
  if (!store_) {
    auto opened = Store::open(path_, StoreMode::read);
    if (!opened) return opened.error();
    store_.emplace(std::move(*opened));
  }
  return &*store_;
}

}  // namespace nestcup::daemon
