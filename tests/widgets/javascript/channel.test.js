// The watch on the kernel: silence is told in less than two seconds, a photo may take longer.
import assert from "node:assert/strict";
import { mock, test } from "node:test";
import { Channel } from "../../../sheetkit/widgets/pad/channel.js";

function watched(act) {
  mock.timers.enable({ apis: ["setTimeout", "Date"] });
  const sent = [];
  const silences = [];
  const channel = new Channel({ send: (message) => sent.push(message) }, "me", () => silences.push(Date.now()));
  try {
    act(channel, sent, silences);
  } finally {
    mock.timers.reset();
  }
}

test("no echo within two seconds is silence", () => watched((channel, sent, silences) => {
  channel.send({ type: "edit" });
  mock.timers.tick(1000);
  assert.equal(silences.length, 0);
  mock.timers.tick(1000);
  assert.equal(silences.length, 1);
}));

test("an echo of the last message ends the wait, one of an earlier doesn't", () => watched((channel, sent, silences) => {
  channel.send({ type: "edit" });
  channel.send({ type: "edit" });
  assert.deepEqual(sent.map(({ client, number }) => [client, number]), [["me", 1], ["me", 2]]);
  assert.equal(channel.heard({ me: 1 }), false);
  assert.equal(channel.heard({ other: 9 }), false);
  assert.equal(channel.heard({ me: 2 }), true);
  mock.timers.tick(60_000);
  assert.equal(silences.length, 0);
}));

test("a photo has twenty seconds, and so has what is sent after it", () => watched((channel, sent, silences) => {
  channel.send({ type: "photo" });
  mock.timers.tick(1000);
  channel.send({ type: "ping" });
  mock.timers.tick(18_000);
  assert.equal(silences.length, 0);
  mock.timers.tick(1500);
  assert.equal(silences.length, 1);
}));

test("a kernel that is gone at once is silence at once", () => {
  const silences = [];
  const model = { send: () => { throw new Error("Cannot send"); } };
  const channel = new Channel(model, "me", () => silences.push(true));
  channel.send({ type: "edit" });
  assert.equal(silences.length, 1);
  channel.close();
});

test("it asks after the kernel now and then, and not while an answer is due", () => watched((channel) => {
  mock.timers.tick(10_000);
  assert.equal(channel.pingIsDue({}), true);
  assert.equal(channel.pingIsDue({}), false);
  mock.timers.tick(2000);
  channel.send({ type: "ping" });
  assert.equal(channel.pingIsDue({}), false);
  assert.equal(channel.pingIsDue({ me: 1 }), true);
}));
