#include "core/notebook/postgres/session.hpp"

#include <fmt/format.h>

#include <random>
#include <thread>

#include "core/notebook/postgres/failure.hpp"
#include "core/notebook/secret.hpp"

namespace nestcup {
namespace {

using std::chrono::milliseconds;

constexpr int most_attempts = 5;
// The server ends statements after half a minute by itself; this is for one that went silent.
constexpr milliseconds usual_limit{60'000};
constexpr milliseconds long_limit{24 * 3'600'000};

// Whatever else the server or its administrator set: a commit is on the disk, and times and numbers
// read back as they were. The names are those of PostgreSQL 15, section 20.11.
constexpr const char* settings =
    "SET statement_timeout = '30s'; SET lock_timeout = '5s'; "
    "SET idle_in_transaction_session_timeout = '60s'; SET synchronous_commit = on; "
    "SET client_min_messages = warning; SET client_encoding = 'UTF8'; SET timezone = 'UTC'; "
    "SET datestyle = 'ISO'; SET extra_float_digits = 1; SET bytea_output = 'hex'; "
    "SET standard_conforming_strings = on; SET search_path = pg_catalog";

constexpr const char* patient = "SET LOCAL statement_timeout = 0; SET LOCAL lock_timeout = '60s'";

/// Longer with each attempt, and by chance, so that those who met do not meet again.
void pause_after(int attempts) {
  static thread_local std::mt19937 engine{std::random_device{}()};
  const int longest_ms = 20 << attempts;
  std::this_thread::sleep_for(
      milliseconds(std::uniform_int_distribution<int>(longest_ms / 4, longest_ms)(engine)));
}

/// Watches over calls as long as it lives.
class WatchedCall {
 public:
  WatchedCall(CallLimit& limit, int socket, milliseconds most) : limit_(limit) {
    limit_.begin(socket, most);
  }
  WatchedCall(const WatchedCall&) = delete;
  WatchedCall& operator=(const WatchedCall&) = delete;
  ~WatchedCall() { limit_.end(); }

 private:
  CallLimit& limit_;
};

}  // namespace

PostgresSession::PostgresSession(PostgresAddress address, Password password,
                                 std::function<bool()> go_on)
    : address_(std::move(address)),
      password_(std::move(password)),
      go_on_(std::move(go_on)),
      limit_(go_on_) {}

void PostgresSession::prepare(std::string name, std::string sql) {
  if (connection_) connection_->prepare(name, sql);
  prepared_.emplace_back(std::move(name), std::move(sql));
}

Result<void> PostgresSession::connect() {
  if (connection_ && connection_->is_open()) return {};
  connection_.reset();
  const auto password = password_();
  if (!password) return password.error();
  return connected_by(*password);
}

Result<void> PostgresSession::connected_by(const std::string& password) {
  try {
    connection_ = std::make_unique<pqxx::connection>(address_.options(password));
    return set_up();
  } catch (const pqxx::sql_error&) {
    connection_.reset();
    return failure_of(where(), std::current_exception()).error;
  } catch (const std::exception& problem) {
    connection_.reset();
    return connect_error(where(), problem.what());
  }
}

Result<void> PostgresSession::set_up() {
  const WatchedCall call(limit_, connection_->sock(), usual_limit);
  {
    pqxx::nontransaction first(*connection_);
    first.exec(settings);
  }
  for (const auto& [name, sql] : prepared_) connection_->prepare(name, sql);
  return {};
}

std::optional<Result<void>> PostgresSession::attempt(const PostgresWork& work, PostgresPace pace,
                                                     bool is_last) {
  const bool is_long = pace == PostgresPace::long_;
  try {
    const WatchedCall call(limit_, connection_->sock(), is_long ? long_limit : usual_limit);
    pqxx::work transaction(*connection_);
    if (is_long) transaction.exec(patient);
    auto done = work(transaction);
    if (!done) return done;
    transaction.commit();
    return Result<void>{};
  } catch (...) {
    PostgresFailure failure = failure_of(where(), std::current_exception());
    if (failure.lost || !connection_->is_open()) connection_.reset();
    if (failure.again && !is_last) return std::nullopt;
    return Result<void>(std::move(failure.error));
  }
}

Result<void> PostgresSession::transact(const PostgresWork& work, PostgresPace pace) {
  for (int attempts = 1;; ++attempts) {
    if (auto connected = connect(); !connected) return connected;
    auto outcome = attempt(work, pace, attempts == most_attempts);
    if (outcome) return std::move(*outcome);
    if (!go_on_()) return Error{Fault::try_later, where() + ": stopped"};
    pause_after(attempts);
  }
}

Result<void> PostgresSession::look(const PostgresWork& work, PostgresPace pace) {
  return transact(
      [&](pqxx::work& transaction) {
        transaction.exec("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY");
        return work(transaction);
      },
      pace);
}

Result<std::unique_ptr<PostgresSession>> open_postgres(const NotebookSettings& settings,
                                                       std::function<bool()> go_on) {
  auto address = PostgresAddress::parse(settings.target);
  if (!address) return address.error();
  return std::make_unique<PostgresSession>(
      std::move(*address), [settings] { return notebook_password(settings); }, std::move(go_on));
}

}  // namespace nestcup
