// Says whether this browser trusts the server's certificate: only then does it take the script that serves offline.

const said = document.getElementById("trusts");

async function trusts() {
  if (!navigator.serviceWorker) return false;
  try {
    await navigator.serviceWorker.register("/bench-worker.js");
    return true;
  } catch {
    return false;
  }
}

trusts().then((yes) => {
  said.textContent = yes ? said.dataset.yes : said.dataset.no;
  said.className = yes ? "note" : "remark";
});
