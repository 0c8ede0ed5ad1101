// Result<T>: a value, or an Error that says what is wrong, where, and what to try.
#pragma once

#include <cassert>
#include <optional>
#include <string>
#include <utility>
#include <variant>

namespace nestcup {

/// Kinds of failure that a caller can tell apart; each has its exit code (exit_code.hpp).
enum class Fault {
  usage,              ///< the call itself is wrong
  bad_data,           ///< an input file is not what it should be
  no_input,           ///< an input is not there
  unavailable,        ///< the daemon or a service is not there
  cannot_create,      ///< an output cannot be made
  io,                 ///< reading or writing failed
  try_later,          ///< busy now, may work later
  not_permitted,      ///< rights are missing
  bad_configuration,  ///< a bench file or the set-up is wrong
};

/// What went wrong, in one line for a person: what, where (file, line, key), what to try.
struct Error {
  Fault kind = Fault::io;
  std::string text;
};

/// Either a value or an Error. Taking the value of a failed result is a bug (assert).
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : held_(std::in_place_index<0>, std::move(value)) {}
  Result(Error error) : held_(std::in_place_index<1>, std::move(error)) {}

  [[nodiscard]] bool ok() const { return held_.index() == 0; }
  explicit operator bool() const { return ok(); }

  [[nodiscard]] const T& value() const& {
    assert(ok());
    return *std::get_if<0>(&held_);
  }
  [[nodiscard]] T& value() & {
    assert(ok());
    return *std::get_if<0>(&held_);
  }
  [[nodiscard]] T value() && {
    assert(ok());
    return std::move(*std::get_if<0>(&held_));
  }
  const T& operator*() const& { return value(); }
  T& operator*() & { return value(); }
  const T* operator->() const { return &value(); }
  T* operator->() { return &value(); }

  [[nodiscard]] const Error& error() const {
    assert(!ok());
    return *std::get_if<1>(&held_);
  }

 private:
  std::variant<T, Error> held_;
};

/// Success without a value, or an Error.
template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  Result(Error error) : error_(std::move(error)) {}

  [[nodiscard]] bool ok() const { return !error_.has_value(); }
  explicit operator bool() const { return ok(); }
  [[nodiscard]] const Error& error() const {
    assert(!ok());
    return *error_;
  }

 private:
  std::optional<Error> error_;
};

}  // namespace nestcup
