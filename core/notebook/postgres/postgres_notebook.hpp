// A notebook that is a PostgreSQL database, for a course or a department: many benches add their
// runs, everyone else asks it in SQL. A bench needs no right but to look and to add (the group role
// nestcup_bench); what arrived is never changed.
#pragma once

#include <memory>
#include <set>
#include <string>

#include "core/notebook/notebook.hpp"
#include "core/notebook/postgres/rows.hpp"
#include "core/notebook/postgres/session.hpp"

namespace nestcup {

class PostgresNotebook : public Notebook {
 public:
  /// @param name  as the outbox calls it
  PostgresNotebook(std::string name, std::unique_ptr<PostgresSession> session);

  [[nodiscard]] const std::string& name() const override { return name_; }
  /// Its pages are made by whoever looks into the database.
  [[nodiscard]] bool wants_charts() const override { return false; }
  /// @errors as PostgresSession; bad_configuration: no tables, older or newer ones
  [[nodiscard]] Result<void> begin(bool has_runs) override;
  [[nodiscard]] Result<Arrival> bring(const RunEntry& entry) override;
  [[nodiscard]] Result<KeptHead> head(const std::string& book, const std::string& bench) override;
  [[nodiscard]] Result<void> keep_head(const KeptHead& head) override;
  [[nodiscard]] Result<std::vector<std::string>> keep_index(const KeptHead& head,
                                                            const IndexNews& news) override;

 private:
  /// @return how many of the run's revisions were not there yet
  [[nodiscard]] int insert(pqxx::work& transaction, const RunRows& rows) const;
  [[nodiscard]] Result<void> compare(pqxx::work& transaction, const RunRows& rows,
                                     int number) const;

  std::string name_;
  std::unique_ptr<PostgresSession> session_;
  std::set<std::string> sheets_there_;  ///< digests of those that need not be sent again
};

}  // namespace nestcup
