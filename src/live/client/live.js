// Follows the worksheet: listens to the server, and says how things stand.

// What the page shows: of which run of the server, and which version of the text.
let run = root.dataset.run;
let version = Number(root.dataset.version);
// What the status line says.
let state = line.textContent;
let read = null;
let trouble = null;
let connected = false;

// So many refused lines are named in it.
const MOST_LINKS = 5;

// ---- The connection ----

const FIRST_WAIT = 50;
const LONGEST_WAIT = 2000; // milliseconds
let wait = FIRST_WAIT;
let timer = null;
let socket = null;

function connect() {
    clearTimeout(timer);
    timer = null;
    const address = new URL(root.dataset.follow, location.href);
    address.protocol = address.protocol === 'https:' ? 'wss:' : 'ws:';
    address.searchParams.set('run', run);
    address.searchParams.set('version', version);
    const own = socket = new WebSocket(address);
    let theirs = null; // the run that the server said
    own.onmessage = event => {
        if (own !== socket) return;
        mark('setsquare-told');
        const message = JSON.parse(event.data);
        if (message.kind === 'hello') theirs = message.run;
        take(message, theirs);
    };
    own.onclose = () => {
        if (own !== socket) return;
        connected = false;
        tell();
        timer = setTimeout(connect, wait);
        wait = Math.min(2 * wait, LONGEST_WAIT);
    };
}

// Connects anew, from the version that the page shows now.
function reconnect() {
    const before = socket;
    socket = null;
    if (before) before.close();
    connect();
}

// A page that comes into sight does not wait for the next attempt.
function wake() {
    if (document.visibilityState === 'visible' && !connected) reconnect();
}
addEventListener('pageshow', event => event.persisted && reconnect());
addEventListener('pagehide', () => socket && socket.close());
document.addEventListener('visibilitychange', wake);

function take(message, theirs) {
    switch (message.kind) {
    case 'hello':
        connected = true;
        trouble = null;
        wait = FIRST_WAIT;
        read = message.read;
        return tell();
    case 'parts':
        if (message.from !== null && message.from !== version) return reconnect();
        // These are in the head of the page, which is not replaced.
        if (message.paper !== root.dataset.paper || message.language !== root.lang) return location.reload();
        try {
            const before = message.from === null ? null : noted(message.parts);
            keeping(() => place(message));
            if (walks) walk();
            told = null;
            if (before) point(message.parts, before);
        } catch (error) {
            // Half of it may be in place: everything is asked for.
            console.error(error);
            version = 0;
            return reconnect();
        }
        run = theirs;
        return shown(message);
    case 'trouble':
        trouble = message.text;
        return tell();
    }
}

// After a change is in place.
function shown(message) {
    version = message.version;
    state = message.state;
    read = Date.now();
    trouble = null;
    document.title = message.title;
    tell();
    root.dataset.version = version;
    mark('setsquare-patched');
}

// Marks a moment for whoever measures; only the last one is kept.
function mark(moment) {
    performance.clearMarks(moment);
    performance.mark(moment);
}

// "read at 14:02:31; 2 lines refused: line 4, line 12"
function tell() {
    const facts = [];
    if (!connected) facts.push('not connected, trying again');
    if (trouble) facts.push(trouble);
    else if (read) facts.push(`read at ${clock(new Date(read))}`);
    if (state) facts.push(state);
    if (told) facts.push(told);
    const text = facts.join('; ');
    const links = [...(document.getElementById('part/summary')?.querySelectorAll('a') ?? [])].slice(0, MOST_LINKS).map(link => link.cloneNode(true));
    const content = links.flatMap((link, at) => [at > 0 ? ', ' : ' (', link]).concat(links.length > 0 ? [')'] : []);
    const html = document.createElement('p');
    html.append(text, ...content);
    if (line.innerHTML !== html.innerHTML) line.replaceChildren(...html.childNodes);
}

function clock(time) {
    return [time.getHours(), time.getMinutes(), time.getSeconds()].map(part => String(part).padStart(2, '0')).join(':');
}

connect();
