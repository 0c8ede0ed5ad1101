// Addresses of databases, what errors of a server mean, and arrays as PostgreSQL writes them.
#include <limits>
#include <pqxx/pqxx>
#include <string>
#include <type_traits>

#include "core/notebook/postgres/address.hpp"
#include "core/notebook/postgres/failure.hpp"
#include "core/notebook/postgres/rows.hpp"
#include "core/notebook/postgres/runs.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// libpqxx 7.10 asks for the statement, too, where 6.4 does not take it.
template <typename Thrown>
Thrown thrown_of(const std::string& text) {
  if constexpr (std::is_constructible_v<Thrown, std::string>) {
    return Thrown(text);
  } else {
    return Thrown(text, "");
  }
}

}  // namespace

TEST_CASE("an address is what libpq takes, without a password") {
  const auto address = PostgresAddress::parse("postgres://bench4@db.example:5433/course");
  REQUIRE(address);
  CHECK(address->text() == "postgres://bench4@db.example:5433/course");
  const std::string options = address->options("it's \\ secret");
  CHECK(has(options, "host='db.example' "));
  CHECK(has(options, "port='5433' "));
  CHECK(has(options, "password='it\\'s \\\\ secret' "));
  CHECK(has(options, "connect_timeout='10' "));
  for (const char* const wrong : {"mysql://a@b/c", "postgres://a:sesame@b/c", "postgres://a b/c",
                                  "postgres://a@b/c?password=sesame", "postgres://a@b/c?nonsense=1",
                                  "postgres://a:sesame@b/c?nonsense=1", ""}) {
    const auto refused = PostgresAddress::parse(wrong);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == Fault::bad_configuration);
    CHECK_FALSE(has(refused.error().text, "sesame"));
  }
}

TEST_CASE("a server elsewhere must prove its name unless the address says otherwise") {
  const auto mode = [](const std::string& address) {
    return PostgresAddress::parse(address).value().options("");
  };
  CHECK(has(mode("postgres://a@db.example/c"), "sslmode='verify-full'"));
  CHECK(has(mode("postgres://a@db.example/c?sslmode=require"), "sslmode='require'"));
  CHECK(has(mode("postgres://a@localhost,db.example/c"), "sslmode='verify-full'") ==
        !has(mode("postgres://a@localhost/c"), "sslmode"));
  CHECK_FALSE(has(mode("postgres://a@%2Frun%2Fpostgresql/c"), "sslmode"));
  CHECK_FALSE(has(mode("postgres://a@127.0.0.1/c"), "password"));
}

TEST_CASE("errors by their SQLSTATE: what to do, and whether the same may work at once") {
  const auto of = [](const char* state) {
    return failure_of_state("postgres://db/c", state, "ERROR:  no\nDETAIL:  Key (who)=(Ann)\n");
  };
  for (const char* const again : {"40001", "40P01", "57P01", "57P02", "57P03", "08006"}) {
    CHECK(of(again).again);
  }
  for (const char* const lost : {"57P01", "08006", "08003"}) CHECK(of(lost).lost);
  for (const char* const told : {"28P01", "42501", "42P01", "3F000", "53100", "23505", "22P05"}) {
    CHECK_FALSE(of(told).again);
  }
  CHECK(of("28000").error.kind == Fault::not_permitted);
  CHECK(of("42501").error.kind == Fault::not_permitted);
  CHECK(has(of("42P01").error.text, "nestcup database prepare"));
  CHECK(has(of("53100").error.text, "disk of the database is full"));
  CHECK(of("22P05").error.kind == Fault::bad_data);
  CHECK_FALSE(has(of("23505").error.text, "Ann"));
  CHECK(has(of("23505").error.text, "postgres://db/c"));
}

TEST_CASE("what libpqxx throws says the same as its SQLSTATE would, also where it has none") {
  const auto of = [](const auto& thrown) {
    return failure_of("postgres://db/c", std::make_exception_ptr(thrown));
  };
  const auto same = [](const PostgresFailure& one, const char* state) {
    const PostgresFailure other = failure_of_state("postgres://db/c", state, "no");
    return one.error.kind == other.error.kind && one.again == other.again && one.lost == other.lost;
  };
  CHECK(same(of(thrown_of<pqxx::deadlock_detected>("no")), "40P01"));
  CHECK(same(of(pqxx::transaction_rollback("no")), "40001"));
  CHECK(same(of(pqxx::too_many_connections("no")), "53300"));
  CHECK(same(of(pqxx::insufficient_privilege("no")), "42501"));
  CHECK(same(of(pqxx::undefined_table("no")), "42P01"));
  CHECK(same(of(pqxx::syntax_error("no")), "42601"));
  CHECK(same(of(pqxx::disk_full("no")), "53100"));
  CHECK(same(of(pqxx::out_of_memory("no")), "53200"));
  CHECK(same(of(pqxx::insufficient_resources("no")), "53000"));
  CHECK(same(of(pqxx::unique_violation("no")), "23505"));
  CHECK(same(of(pqxx::data_exception("no")), "22000"));
  CHECK(same(of(pqxx::feature_not_supported("no")), "0A000"));
  CHECK(same(of(pqxx::sql_error("no", "", "57P01")), "57P01"));
  for (const PostgresFailure& failure :
       {of(pqxx::broken_connection("gone")), of(pqxx::in_doubt_error("gone"))}) {
    CHECK(failure.error.kind == Fault::unavailable);
    CHECK(failure.again);
    CHECK(failure.lost);
  }
  const PostgresFailure other = of(std::runtime_error("something\nelse\n"));
  CHECK(has(other.error.text, "something else"));
  CHECK_FALSE(other.again);
}

TEST_CASE("arrays read back as they were") {
  const double largest = std::numeric_limits<double>::max();
  CHECK(doubles_of("{}").value().empty());
  CHECK(doubles_of("{21.5,-0.125,1e-07,1.7976931348623157e+308}").value() ==
        std::vector<double>{21.5, -0.125, 1e-7, largest});
  CHECK(wholes_of("{0,-1,9223372036854775807}").value() ==
        std::vector<std::int64_t>{0, -1, std::numeric_limits<std::int64_t>::max()});
  for (const char* const wrong : {"", "{", "1,2", "{1,}", "{,1}", "{1 2}", "{a}", "{NULL}"}) {
    CHECK_FALSE(doubles_of(wrong));
  }
  CHECK(array_text({"a\"b\\c", "", "{,}"}) == "{\"a\\\"b\\\\c\",\"\",\"{,}\"}");
}
