// Searches of this run of the server: what each found, ready to be ranked, looked at and gone on
// from.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "report/search.h"
#include "server/jobs.h"
#include "server/session.h"

namespace steerbench::server {

// What a search came to. May be read by several threads at once.
class Found {
 public:
  Found(SharedState state, SearchReport report, std::optional<search::Progress> stopped_at)
      : state_(std::move(state)), report_(std::move(report)), stopped_at_(std::move(stopped_at)) {}

  // The state of the document that was searched.
  [[nodiscard]] const SharedState& State() const { return state_; }
  [[nodiscard]] const SearchReport& Report() const { return report_; }
  // Where it was stopped; unset when it is complete.
  [[nodiscard]] const std::optional<search::Progress>& StoppedAt() const { return stopped_at_; }

  // The setup of an entry, its free settings at their best when `best`; null when there is none.
  [[nodiscard]] SharedSetup Entry(std::size_t entry, bool best) const;

 private:
  SharedState state_;
  SearchReport report_;
  std::optional<search::Progress> stopped_at_;
  mutable std::mutex mutex_;
  mutable std::map<std::pair<std::size_t, bool>, SharedSetup> setups_;
};

// One search of one state of the document.
class SearchRun {
 public:
  SearchRun(SharedState state, std::size_t most);

  [[nodiscard]] const SharedState& State() const { return state_; }
  // Everything of the document that a search of it depends on, as text.
  [[nodiscard]] const std::string& Key() const { return key_; }

  // Looks at all combinations, or at those that are left after `from`. When it is stopped, what
  // was found so far is kept as well; then throws JobStopped.
  void Run(const Jobs::Tell& tell, const std::optional<search::Progress>& from);

  // Null until the run has ended, and where it failed.
  [[nodiscard]] std::shared_ptr<const Found> Result() const;
  // Whether the run has ended, in whatever way.
  [[nodiscard]] bool Ended() const;

 private:
  SharedState state_;
  std::size_t most_;
  std::string key_;
  mutable std::mutex mutex_;
  std::shared_ptr<const Found> found_;
  bool ended_ = false;
};

// The text that SearchRun::Key compares: setups other than the one that is counted from do not
// bear on a search, so that an entry can be kept as a setup while the search stays what it was.
[[nodiscard]] std::string SearchKey(const Document& document);

// The newest searches by the numbers of their jobs. May be used by several threads at once.
class Searches {
 public:
  void Keep(std::uint64_t job, std::shared_ptr<SearchRun> run);
  // Null when there is none of this number, or it was too long ago.
  [[nodiscard]] std::shared_ptr<SearchRun> Look(std::uint64_t job) const;
  // 0: none.
  [[nodiscard]] std::uint64_t Newest() const;

  static constexpr std::size_t kKept = 4;

 private:
  mutable std::mutex mutex_;
  std::map<std::uint64_t, std::shared_ptr<SearchRun>> runs_;
};

}  // namespace steerbench::server
