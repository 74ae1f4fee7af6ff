#include "server/events.h"

#include <algorithm>

namespace steerbench::server {

std::string StreamText(const Event& event) {
  std::string text;
  if (!event.id.empty()) text += "id: " + event.id + "\n";
  text += "event: " + event.type + "\n";
  text += "data: " + event.data.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n\n";
  return text;
}

void Events::Tell(Event event) {
  {
    const std::scoped_lock lock(mutex_);
    events_.push_back(std::move(event));
    ++count_;
    if (events_.size() > kKept) events_.pop_front();
  }
  told_.notify_all();
}

Events::Place Events::Join() const {
  const std::scoped_lock lock(mutex_);
  return {count_};
}

std::vector<Event> Events::Wait(Place& place, std::chrono::milliseconds patience) {
  std::unique_lock lock(mutex_);
  told_.wait_for(lock, patience, [&] { return closed_ || count_ > place.heard; });
  const auto fresh =
      static_cast<std::size_t>(std::min<std::uint64_t>(count_ - place.heard, events_.size()));
  place.heard = count_;
  return {events_.end() - static_cast<std::ptrdiff_t>(fresh), events_.end()};
}

void Events::Close() {
  {
    const std::scoped_lock lock(mutex_);
    closed_ = true;
  }
  told_.notify_all();
}

bool Events::Closed() const {
  const std::scoped_lock lock(mutex_);
  return closed_;
}

}  // namespace steerbench::server
