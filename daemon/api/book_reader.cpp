#include "daemon/api/book_reader.hpp"

#include <fmt/format.h>
#include <sys/resource.h>

#include <boost/asio/post.hpp>
#include <exception>
#include <utility>

#include "daemon/base/spare_memory.hpp"

namespace nestcup::daemon {
namespace {

// Who comes later would not be served before his patience ends anyway.
constexpr int most_waiting = 16;

}  // namespace

BookReader::BookReader(std::string store, Log log)
    : store_(std::move(store)), log_(std::move(log)) {
  boost::asio::post(thread_, [] {
    // Readings need a processor more than a page does (nice(1), of this thread alone).
    constexpr int kindness = 10;
    setpriority(PRIO_PROCESS, 0, kindness);
  });
}

BookReader::~BookReader() {
  stop();
}

void BookReader::answer(const Reply& reply, Work work) {
  if (++waiting_ > most_waiting) {
    --waiting_;
    return reply(error_response(503, Fault::try_later,
                                "too many answers are being worked out; ask again in a moment"));
  }
  boost::asio::post(thread_, [this, reply, work = std::move(work)] {
    if (!stopping_) serve(reply, work);
    --waiting_;
    give_back_memory();
  });
}

void BookReader::serve(const Reply& reply, const Work& work) {
  try {
    const auto store = Store::open(store_, StoreMode::read);
    if (!store) return reply(error_response(store.error()));
    const auto answer = work(*store);
    reply(answer ? *answer : error_response(answer.error()));
  } catch (const std::exception& error) {
    log_.error(fmt::format("an answer from the store failed: {}", error.what()));
    reply(error_response(500, Fault::io, "the daemon failed on this request; its log says more"));
  }
}

Result<void> BookReader::goes_on() const {
  if (stopping_) return Error{Fault::try_later, "the daemon stops"};
  return {};
}

void BookReader::stop() {
  stopping_ = true;
  thread_.join();
}

}  // namespace nestcup::daemon
